"""Addresses of the documents of a fitment."""

from django.urls import path

from kits.documents import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

FITMENT = "fitments/<code:kit>/<code:line>/<code:variant>/"

urlpatterns = [
    path(f"{FITMENT}parts-list.xlsx", views.parts_list_xlsx, name="parts-list-xlsx"),
    path(f"{FITMENT}parts-list.pdf", views.parts_list_pdf, name="parts-list-pdf"),
    path(f"{FITMENT}checklist.pdf", views.checklist_pdf, name="checklist-pdf"),
    path(f"{FITMENT}sizing-sheet.pdf", views.sizing_sheet_pdf, name="sizing-sheet-pdf"),
    path(f"{FITMENT}sizing-report.pdf", views.sizing_report_pdf, name="sizing-report-pdf"),
]
