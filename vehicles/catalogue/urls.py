"""Addresses of vehicles."""

from django.urls import path

from vehicles.catalogue import views
from vehicles.records import urls as _code_converter  # noqa: F401 - registers <code:...>

urlpatterns = [
    path("vehicles/", views.variant_list, name="variant-list"),
    path("vehicles/<code:line>/<code:variant>/", views.vehicle, name="vehicle"),
]
