"""The app that says what a car is and what heat it lets in."""

from django.apps import AppConfig


class VehiclesConfig(AppConfig):
    """Model lines, variants, cabins, powertrains, climate."""

    name = "vehicles"
    label = "vehicles"
    verbose_name = "Vehicles"
