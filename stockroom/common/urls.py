"""Addresses of common."""

from django.urls import path

from stockroom.common.views import department, health

urlpatterns = [
    path("health/", health.standing, name="health"),
    # the department, its people, the activity log
    path("department/", department.edit, name="department-edit"),
]
