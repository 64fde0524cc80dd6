"""The app that says what we make, whether it fits and what paper and work follow."""

from django.apps import AppConfig


class KitsConfig(AppConfig):
    """Kits, parts, sizing, fitments, documents."""

    name = "kits"
    label = "kits"
    verbose_name = "Kits"
