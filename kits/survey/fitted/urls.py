"""The addresses that take a length, a charge and a trial of a fitment, below the fitment's own."""

from django.urls import path

from kits.survey.fitted import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path("lengths/<code:route>/", views.record_route_length, name="record-route-length"),
    path("charge/", views.record_charge, name="record-charge"),
    path("air/trial/", views.record_air_trial, name="record-air-trial"),
]
