"""The app for what is on the shelves."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class StockroomConfig(AppConfig):
    name = "stockroom"
    verbose_name = "Stockroom"
    #: (group, label, name of the address, permission)
    navigation = [
        ("Shelves", "Reagents", "reagent-list", "stockroom.view_reagent"),
        ("Shelves", "Containers", "container-list", "stockroom.view_container"),
        ("Shelves", "Places", "location-list", "stockroom.view_location"),
        ("Shelves", "Preparations", "preparation-list", "stockroom.view_preparation"),
        ("Shelves", "Calculators", "bench", "stockroom.make_up"),
        ("Shelves", "Chemicals", "chemical-list", "stockroom.view_chemical"),
        ("Shelves", "Counts", "count-list", "stockroom.view_stockcount"),
        ("Shelves", "Labels", "labels", "stockroom.move_stock"),
        ("Supply", "Shortages", "outlook", "stockroom.view_reagent"),
        ("Supply", "What to order", "reorder", "stockroom.view_order"),
        ("Supply", "Orders", "order-list", "stockroom.view_order"),
        ("Supply", "Suppliers", "supplier-list", "stockroom.view_supplier"),
        ("Supply", "Budget", "budget-list", "stockroom.view_budget"),
        ("Safety", "Findings", "review", "stockroom.review_stock"),
        ("Safety", "Annual review", "annual-list", "stockroom.walk_review"),
        ("Safety", "Safety data sheets", "sheet-list", "stockroom.view_safetydatasheet"),
        ("Safety", "Incompatible storage", "conflict-list", "stockroom.view_location"),
        ("Safety", "Time-sensitive chemicals", "ageing", "stockroom.view_containertest"),
        ("Safety", "Storage limits", "limit-list", "stockroom.view_departmentlimit"),
        ("Safety", "Restricted chemicals", "restricted-list", "stockroom.view_writtenreason"),
        ("Safety", "Waste", "waste-list", "stockroom.view_wastecontainer"),
        ("Safety", "Drain disposal", "drain-list", "stockroom.view_drainpermission"),
        ("Department", "Activity log", "activity", "stockroom.view_activity"),
        ("Department", "People", "person-list", "stockroom.manage_users"),
        ("Department", "Settings", "department-edit", "stockroom.change_department"),
    ]

    def ready(self):
        from stockroom.firstday import complete_first_day
        from stockroom.inventory.signals import receipt_reversed
        from stockroom.people.roles import grant_roles
        from stockroom.purchasing.receiving import take_back

        receipt_reversed.connect(take_back)
        pre_migrate.connect(complete_first_day, sender=self)
        post_migrate.connect(grant_roles, sender=self)
