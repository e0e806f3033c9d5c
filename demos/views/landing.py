"""The first page of each role."""

from django.shortcuts import render


def home(request):
    return render(request, "demos/home.html")
