"""Addresses of the grid's editing view."""

from django.urls import path

from kits.editing.grid import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path("kits/<code:kit>/positions/<int:number>/", views.edit_position, name="edit-position"),
]
