"""Addresses of the fit table and of fitments."""

from django.urls import include, path

from kits.fitment import views
from kits.fitment.market import views as market_views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

FITMENT = "fitments/<code:kit>/<code:line>/<code:variant>/"

urlpatterns = [
    path("fit/", views.fit_table, name="fit-table"),
    path("fit/size-again/", views.size_again, name="size-again"),
    path("markets/<code:code>/", market_views.market, name="market"),
    path(FITMENT, views.fitment_sheet, name="fitment-sheet"),
    path(f"{FITMENT}calculations/", views.calculations, name="calculations"),
    path(f"{FITMENT}air/", include("kits.fitment.air.urls")),
    path(f"{FITMENT}notes/", views.write_note, name="write-note"),
    path(f"{FITMENT}study/", include("kits.fitment.study.urls")),
    path(f"{FITMENT}readings/", include("kits.fitment.readings.urls")),
    path(f"{FITMENT}plateau/", include("kits.fitment.plateau.urls")),
]
