"""Addresses of the documents of a fitment."""

from django.urls import path

from kits.documents import views

_FITMENT = "fitments/<str:kit>/<str:line>/<str:variant>/"

urlpatterns = [
    path(f"{_FITMENT}parts-list.xlsx", views.parts_list_xlsx, name="parts-list-xlsx"),
    path(f"{_FITMENT}parts-list.pdf", views.parts_list_pdf, name="parts-list-pdf"),
    path(f"{_FITMENT}checklist.pdf", views.checklist_pdf, name="checklist-pdf"),
    path(f"{_FITMENT}sizing-sheet.pdf", views.sizing_sheet_pdf, name="sizing-sheet-pdf"),
]
