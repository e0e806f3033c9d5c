"""Addresses of hazards."""

from django.urls import path

from stockroom.hazards.views import (
    ageing,
    classification,
    datasheet,
    hazard,
    mixing,
    restricted,
    sheet_verification,
)

urlpatterns = [
    path("reagents/<int:pk>/classes/", classification.reckon, name="reagent-classification"),
    path("reagents/<int:pk>/hazards/", hazard.hazards, name="reagent-hazards"),
    path("reagents/<int:pk>/mixing/", mixing.mixing, name="reagent-mixing"),
    path("reagents/<int:pk>/check/", sheet_verification.check, name="reagent-check"),
    path("reagents/<int:pk>/summary/", datasheet.reagent_summary, name="reagent-summary"),
    path("sheets/", datasheet.sheet_list, name="sheet-list"),
    path("sheets/print/", datasheet.sheet_list_print, name="sheet-list-print"),
    path("reagents/<int:pk>/sheets/add/", hazard.sheet_add, name="sheet-add"),
    path("sheets/<int:pk>/edit/", hazard.sheet_edit, name="sheet-edit"),
    path("sheets/<int:pk>/file/", hazard.sheet_file, name="sheet-file"),
    # time-sensitive chemicals
    path("ageing/", ageing.ageing_list, name="ageing"),
    # what is not for schools
    path("not-for-schools/", restricted.restricted_list, name="restricted-list"),
    path("reagents/<int:pk>/reason/", restricted.reason_add, name="reason-add"),
]
