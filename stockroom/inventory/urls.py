"""Addresses of inventory."""

from django.urls import path

from stockroom.inventory.views import chemical, count

urlpatterns = [
    # chemicals
    path("chemicals/", chemical.ChemicalList.as_view(), name="chemical-list"),
    path("chemicals/add/", chemical.add, name="chemical-add"),
    path("chemicals/<int:pk>/", chemical.detail, name="chemical-detail"),
    path("chemicals/<int:pk>/edit/", chemical.edit, name="chemical-edit"),
    path("chemicals/<int:pk>/retire/", chemical.retire, name="chemical-retire"),
    # counts
    path("counts/", count.CountList.as_view(), name="count-list"),
    path("counts/start/", count.start, name="count-add"),
    path("counts/<int:pk>/", count.detail, name="count-detail"),
    path("counts/<int:pk>/close/", count.close, name="count-close"),
    path("counts/<int:pk>/abandon/", count.abandon, name="count-abandon"),
    path("counts/<int:pk>/sheet/", count.count_sheet, name="count-sheet"),
    path("count-lines/<int:pk>/", count.write_line, name="count-line"),
]
