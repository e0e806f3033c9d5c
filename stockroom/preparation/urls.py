"""Addresses of preparation."""

from django.urls import path

from stockroom.preparation.views import batch, bench, preparation

urlpatterns = [
    # at the bench
    path("bench/", bench.calculate, name="bench"),
    path("bench/<slug:tool>/", bench.calculate, name="bench"),
    # preparations and batches
    path("preparations/", preparation.PreparationList.as_view(), name="preparation-list"),
    path("preparations/add/", preparation.add, name="preparation-add"),
    path("preparations/<int:pk>/", preparation.detail, name="preparation-detail"),
    path("preparations/<int:pk>/edit/", preparation.edit, name="preparation-edit"),
    path("preparations/<int:pk>/retire/", preparation.retire, name="preparation-retire"),
    path("preparations/<int:pk>/make-up/", batch.make_up, name="preparation-make-up"),
    path("batches/<int:pk>/", batch.batch_detail, name="batch-detail"),
]
