"""Addresses of library."""

from django.urls import path

from demos.library.views import demonstration, draft

urlpatterns = [
    path("demonstrations/", demonstration.library, name="demonstration-list"),
    path("demonstrations/<int:pk>/", demonstration.detail, name="demonstration-detail"),
    path("demonstrations/add/", demonstration.add, name="demonstration-add"),
    path("demonstrations/<int:pk>/change/", demonstration.edit, name="demonstration-edit"),
    path("demonstrations/<int:pk>/retire/", demonstration.retire, name="demonstration-retire"),
    path("demonstrations/amounts/", draft.amounts, name="demonstration-amounts"),
    path("demonstrations/balance/", draft.balance, name="demonstration-balance"),
]
