"""Addresses of storage."""

from django.urls import path

from stockroom.storage.views import conflict, limit, location

urlpatterns = [
    # places
    path("places/", location.tree, name="location-list"),
    path("places/add/", location.add, name="location-add"),
    path("places/<int:pk>/", location.detail, name="location-detail"),
    path("places/<int:pk>/edit/", location.edit, name="location-edit"),
    path("places/<int:pk>/retire/", location.retire, name="location-retire"),
    # what must not stand together
    path("conflicts/", conflict.conflict_list, name="conflict-list"),
    path("conflicts/move-plan/", conflict.move_plan, name="move-plan"),
    path("conflicts/move-plan/sheet/", conflict.move_plan_sheet, name="move-plan-sheet"),
    # how much may stand where
    path("limits/", limit.limit_list, name="limit-list"),
    path("limits/add/", limit.limit_edit, name="limit-add"),
    path("limits/<int:pk>/edit/", limit.limit_edit, name="limit-edit"),
    path("limits/<int:pk>/retire/", limit.limit_retire, name="limit-retire"),
]
