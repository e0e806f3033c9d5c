"""The app for what is on the shelves."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class StockroomConfig(AppConfig):
    name = "stockroom"
    verbose_name = "Stockroom"

    def ready(self):
        from stockroom.roles import grant_roles

        post_migrate.connect(grant_roles, sender=self)
