"""Addresses of a car's survey."""

from django.urls import include, path

from kits.fitment.urls import FITMENT
from kits.survey import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

CAR = "vehicles/<code:line>/<code:variant>/"

urlpatterns = [
    path(CAR, views.vehicle, name="vehicle"),
    path(f"{CAR}surveyed/", views.finish, name="survey-finished"),
    path(f"{CAR}survey/<slug:section>/", views.enter, name="survey-values"),
    path(f"{CAR}survey/routes/<code:kit>/", views.enter_routes, name="survey-routes"),
    path(f"{FITMENT}plateau/", include("kits.survey.plateau.urls")),
]
