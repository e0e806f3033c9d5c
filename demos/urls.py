"""Addresses of the demonstrations, bookings and landing pages."""

from django.urls import include, path

from demos.views import landing

demos = ([], "demos")

urlpatterns = [
    path("", landing.home, name="home"),
    path("", include(demos)),
]
