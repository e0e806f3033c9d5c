"""Addresses of planning."""

from django.urls import path

from demos.planning.views import booking, calendar, substitution, timetable

urlpatterns = [
    path("bookings/", booking.BookingList.as_view(), name="booking-list"),
    path("bookings/add/", booking.add, name="booking-add"),
    path("bookings/add/check/", booking.check, name="booking-check"),
    path("bookings/<int:pk>/", booking.detail, name="booking-detail"),
    path("bookings/<int:pk>/change/", booking.edit, name="booking-edit"),
    path("bookings/<int:pk>/change/check/", booking.check_change, name="booking-check-change"),
    path("bookings/<int:pk>/copy/", booking.copy, name="booking-copy"),
    path("bookings/<int:pk>/cancel/", booking.cancel, name="booking-cancel"),
    path("bookings/<int:pk>/how-it-went/", booking.how_it_went, name="booking-how-it-went"),
    path("calendar/", calendar.week, name="calendar-week"),
    path("calendar/month/", calendar.month, name="calendar-month"),
    path("calendar/feed/<str:token>.ics", calendar.feed, name="calendar-feed"),
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
    path("demonstrations/<int:pk>/instead/", substitution.of_demonstration, name="demonstration-instead"),
    path("bookings/<int:pk>/instead/", substitution.of_booking, name="booking-instead"),
]
