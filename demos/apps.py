"""The app for what is done with the stock in front of a class."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class DemosConfig(AppConfig):
    name = "demos"
    verbose_name = "Demonstrations"
    navigation = [
        ("Demonstrations", "Library", "demos:demonstration-list", "demos.view_demonstration"),
        ("Demonstrations", "Bookings", "demos:booking-list", "demos.view_booking"),
        ("Demonstrations", "Calendar", "demos:calendar-week", "demos.view_booking"),
        ("Demonstrations", "Prep", "demos:prep", "demos.view_booking"),
        ("Department", "Rooms and periods", "demos:timetable", "demos.change_timetable"),
        ("Safety", "Vapor in a room", "demos:vapour", "demos.view_room"),
    ]

    def ready(self):
        from stockroom.people.roles import grant_roles

        post_migrate.connect(grant_roles, sender=self)
