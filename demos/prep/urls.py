"""Addresses of prep."""

from django.urls import path

from demos.prep.views import prep, put_away

urlpatterns = [
    path("prep/", prep.prep, name="prep"),
    path("prep/sheet/", prep.prep_pdf, name="prep-sheet"),
    path("bookings/<int:pk>/reminder/", prep.reminder_pdf, name="booking-reminder"),
    path("bookings/<int:pk>/sheet/", prep.booking_pdf, name="booking-sheet"),
    path("bookings/<int:pk>/run/", prep.run, name="booking-run"),
    path("bookings/<int:pk>/left/", put_away.put_away, name="booking-left"),
]
