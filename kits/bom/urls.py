"""Addresses of kits."""

from django.urls import path

from kits.bom import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path("kits/", views.kit_list, name="kit-list"),
    path("kits/<code:kit>/", views.kit, name="kit"),
]
