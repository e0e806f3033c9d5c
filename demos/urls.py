"""Addresses of the demonstrations, their bookings and the first page."""

from django.urls import include, path

from demos.dashboard.views import home
from demos.library import urls as library
from demos.planning import urls as planning
from demos.prep import urls as prep
from demos.report import urls as report

demos = ([*report.urlpatterns, *planning.urlpatterns, *prep.urlpatterns, *library.urlpatterns], "demos")

urlpatterns = [
    path("", home, name="home"),
    path("", include(demos)),
]
