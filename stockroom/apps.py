"""The app for what is on the shelves."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate


class StockroomConfig(AppConfig):
    name = "stockroom"
    verbose_name = "Stockroom"
    navigation = [
        ("Reagents", "reagent-list", "stockroom.view_reagent"),
        ("Containers", "container-list", "stockroom.view_container"),
        ("Places", "location-list", "stockroom.view_location"),
        ("Preparations", "preparation-list", "stockroom.view_preparation"),
        ("Suppliers", "supplier-list", "stockroom.view_supplier"),
        ("Chemicals", "chemical-list", "stockroom.view_chemical"),
    ]

    def ready(self):
        from stockroom.roles import grant_roles

        post_migrate.connect(grant_roles, sender=self)
