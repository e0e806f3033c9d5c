"""Every address of the app: each room brings its own."""

from django.contrib import admin
from django.contrib.auth import views as auth
from django.urls import include, path, reverse_lazy

urlpatterns = [
    path("", include("demos.urls")),
    path("sign-in/", auth.LoginView.as_view(redirect_authenticated_user=True), name="sign-in"),
    path("sign-out/", auth.LogoutView.as_view(), name="sign-out"),
    path(
        "password/",
        auth.PasswordChangeView.as_view(success_url=reverse_lazy("home")),
        name="password-change",
    ),
    path("admin/", admin.site.urls),
    path("", include("stockroom.inventory.urls")),
    path("", include("stockroom.hazards.urls")),
    path("", include("stockroom.waste.urls")),
    path("", include("stockroom.storage.urls")),
    path("", include("stockroom.handling.urls")),
    path("", include("stockroom.purchasing.urls")),
    path("", include("stockroom.preparation.urls")),
    path("", include("stockroom.inspection.urls")),
    path("", include("stockroom.people.urls")),
    path("", include("stockroom.common.urls")),
]
