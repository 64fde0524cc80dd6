"""Addresses of parts."""

from django.urls import path

from kits.fitment.used import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path("parts/", views.part_list, name="part-list"),
    path("parts/<code:number>/", views.part, name="part"),
]
