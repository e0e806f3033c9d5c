"""Addresses of waste."""

from django.urls import path

from stockroom.waste.views import limit as waste_limit
from stockroom.waste.views import sewer, waste

urlpatterns = [
    # waste
    path("waste/", waste.WasteList.as_view(), name="waste-list"),
    path("waste/start/", waste.start, name="waste-add"),
    path("waste/months/", waste.months, name="waste-months"),
    path("waste/limits/", waste_limit.waste_limit_list, name="waste-limits"),
    path("waste/limits/<slug:key>/", waste_limit.waste_limit_edit, name="waste-limit-edit"),
    path("waste/limits/<slug:key>/lift/", waste_limit.waste_limit_lift, name="waste-limit-lift"),
    path("waste/disposal/", waste.sheet, name="disposal-sheet"),
    path("waste/<int:pk>/", waste.detail, name="waste-detail"),
    path("waste/<int:pk>/add/", waste.add, name="waste-put"),
    path("waste/entries/<int:pk>/strike/", waste.strike, name="waste-strike"),
    path("waste/<int:pk>/close/", waste.close, name="waste-close"),
    path("waste/<int:pk>/collected/", waste.collected, name="waste-collected"),
    path("waste/<int:pk>/label/", waste.label, name="waste-label"),
    # what the sewer authority allows
    path("drain/", sewer.drain_list, name="drain-list"),
    path("drain/add/", sewer.add, name="drain-add"),
    path("drain/<int:pk>/end/", sewer.end, name="drain-end"),
]
