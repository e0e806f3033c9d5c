"""Addresses of report."""

from django.urls import path

from demos.report.views import outcome, vapour

urlpatterns = [
    path("demonstrations/<int:pk>/outcome/", outcome.of_demonstration, name="demonstration-outcome"),
    path(
        "demonstrations/<int:pk>/outcome/sheet/",
        outcome.demonstration_pdf,
        name="demonstration-outcome-sheet",
    ),
    path("bookings/<int:pk>/outcome/", outcome.of_booking, name="booking-outcome"),
    path("bookings/<int:pk>/outcome/sheet/", outcome.booking_pdf, name="booking-outcome-sheet"),
    path("vapour/", vapour.vapour, name="vapour"),
]
