"""Addresses of people."""

from django.urls import path

from stockroom.people.views import account, activity

urlpatterns = [
    path("people/", account.PersonList.as_view(), name="person-list"),
    path("people/add/", account.add, name="person-add"),
    path("people/<int:pk>/", account.edit, name="person-edit"),
    path("people/<int:pk>/password/", account.password, name="person-password"),
    path("people/<int:pk>/active/", account.active, name="person-active"),
    path("activity/", activity.activity, name="activity"),
    path("activity/<slug:form>/", activity.activity_export, name="activity-export"),
]
