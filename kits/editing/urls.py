"""Addresses of editing."""

from django.urls import include, path

from kits.editing import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path("", include("kits.editing.grid.urls")),
    path("", include("kits.editing.steps.urls")),
    path("edit/<code:line>/<slug:sheet>/", views.edit_row, name="edit-row"),
    path("edit/<code:line>/<slug:sheet>/remove/", views.remove_row, name="remove-row"),
    path("history/", views.history, name="edit-history"),
    path("history/<uuid:act>/", views.act, name="edit-act"),
    path("history/<uuid:act>/undo/", views.undo, name="edit-undo"),
    path("lines/<code:line>/copy/", views.copy_line, name="copy-line"),
    path("vehicles/<code:line>/<code:variant>/copy/", views.copy_variant, name="copy-variant"),
]
