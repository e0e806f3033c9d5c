"""Addresses of common."""

from django.urls import path

from stockroom.common.views import department, health

urlpatterns = [
    path("health/", health.standing, name="health"),
    # the department, its people, who did what
    path("department/", department.edit, name="department-edit"),
]
