"""Addresses of import and export."""

from django.urls import path

from kits.exchange import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path("import/", views.import_workbook, name="import"),
    path("import/blank.xlsx", views.blank_workbook, name="blank-workbook"),
    path("import/<int:plan>/", views.import_plan, name="import-plan"),
    path("lines/<code:line>/workbook.xlsx", views.export_workbook, name="export-workbook"),
]
