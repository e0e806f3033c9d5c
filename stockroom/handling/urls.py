"""Addresses of handling."""

from django.urls import path

from stockroom.handling.views import acts, container, container_test, label, reagent

urlpatterns = [
    # reagents, their hazards and sheets
    path("reagents/", reagent.ReagentList.as_view(), name="reagent-list"),
    path("reagents/add/", reagent.add, name="reagent-add"),
    path("reagents/add/suggestions/", reagent.suggestions, name="reagent-suggestions"),
    path("reagents/<int:pk>/", reagent.detail, name="reagent-detail"),
    path("reagents/<int:pk>/edit/", reagent.edit, name="reagent-edit"),
    path("reagents/<int:pk>/retire/", reagent.retire, name="reagent-retire"),
    # containers and their ledger
    path("containers/", container.ContainerList.as_view(), name="container-list"),
    path("containers/receive/", acts.receive, name="container-receive"),
    path("containers/receive/places/", acts.receive_places, name="receive-places"),
    path("containers/<int:pk>/", container.detail, name="container-detail"),
    path("containers/<int:pk>/edit/", container.edit, name="container-edit"),
    path("containers/<int:pk>/label/", label.container_label, name="container-label"),
    path("containers/<int:pk>/test/", container_test.add, name="container-test"),
    path("containers/<int:pk>/<slug:act>/", acts.act, name="container-act"),
    path("movements/<int:pk>/reverse/", acts.reverse_line, name="movement-reverse"),
    # labels
    path("labels/", label.labels, name="labels"),
]
