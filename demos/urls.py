"""Addresses of the demonstrations, bookings and landing pages."""

from django.urls import include, path

from demos.views import (
    booking,
    calendar,
    demonstration,
    draft,
    instead,
    landing,
    leftover,
    outcome,
    prep,
    timetable,
    vapour,
)

demonstrations = [
    path("demonstrations/", demonstration.library, name="demonstration-list"),
    path("demonstrations/<int:pk>/", demonstration.detail, name="demonstration-detail"),
    path("demonstrations/add/", demonstration.add, name="demonstration-add"),
    path("demonstrations/<int:pk>/change/", demonstration.edit, name="demonstration-edit"),
    path("demonstrations/<int:pk>/retire/", demonstration.retire, name="demonstration-retire"),
]

bookings = [
    path("bookings/", booking.BookingList.as_view(), name="booking-list"),
    path("bookings/add/", booking.add, name="booking-add"),
    path("bookings/add/check/", booking.check, name="booking-check"),
    path("bookings/<int:pk>/", booking.detail, name="booking-detail"),
    path("bookings/<int:pk>/change/", booking.edit, name="booking-edit"),
    path("bookings/<int:pk>/change/check/", booking.check_change, name="booking-check-change"),
    path("bookings/<int:pk>/copy/", booking.copy, name="booking-copy"),
    path("bookings/<int:pk>/cancel/", booking.cancel, name="booking-cancel"),
    path("bookings/<int:pk>/how-it-went/", booking.how_it_went, name="booking-how-it-went"),
]

preps = [
    path("prep/", prep.prep, name="prep"),
    path("prep/sheet/", prep.prep_pdf, name="prep-sheet"),
    path("bookings/<int:pk>/reminder/", prep.reminder_pdf, name="booking-reminder"),
    path("bookings/<int:pk>/sheet/", prep.booking_pdf, name="booking-sheet"),
    path("bookings/<int:pk>/run/", prep.run, name="booking-run"),
    path("bookings/<int:pk>/left/", leftover.put_away, name="booking-left"),
]

calendars = [
    path("calendar/", calendar.week, name="calendar-week"),
    path("calendar/month/", calendar.month, name="calendar-month"),
    path("calendar/feed/<str:token>.ics", calendar.feed, name="calendar-feed"),
]

timetables = [
    path("timetable/", timetable.timetable, name="timetable"),
    *(
        path(f"timetable/{noun}s/{way}", view, {"noun": noun}, name=f"{noun}-{act}")
        for noun in timetable.NOUNS
        for way, view, act in (
            ("add/", timetable.add, "add"),
            ("<int:pk>/change/", timetable.edit, "edit"),
            ("<int:pk>/retire/", timetable.retire, "retire"),
        )
    ),
]

outcomes = [
    path("demonstrations/<int:pk>/outcome/", outcome.of_demonstration, name="demonstration-outcome"),
    path(
        "demonstrations/<int:pk>/outcome/sheet/",
        outcome.demonstration_pdf,
        name="demonstration-outcome-sheet",
    ),
    path("bookings/<int:pk>/outcome/", outcome.of_booking, name="booking-outcome"),
    path("bookings/<int:pk>/outcome/sheet/", outcome.booking_pdf, name="booking-outcome-sheet"),
    path("demonstrations/amounts/", draft.amounts, name="demonstration-amounts"),
    path("demonstrations/balance/", draft.balance, name="demonstration-balance"),
    path("demonstrations/<int:pk>/instead/", instead.of_demonstration, name="demonstration-instead"),
    path("bookings/<int:pk>/instead/", instead.of_booking, name="booking-instead"),
]

vapours = [path("vapour/", vapour.vapour, name="vapour")]

demos = ([*demonstrations, *bookings, *calendars, *timetables, *preps, *outcomes, *vapours], "demos")

urlpatterns = [
    path("", landing.home, name="home"),
    path("", include(demos)),
]
