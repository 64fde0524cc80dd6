"""How technical data hangs on a part's revision."""

from typing import Any

from django.db import models


def of_revision(name: str) -> "models.OneToOneField[Any, Any]":
    """The revision the data belongs to, which finds it by ``name``."""
    return models.OneToOneField("kits.PartRevision", on_delete=models.CASCADE, related_name=name)


def bench_point() -> "models.ForeignKey[Any, Any]":
    """The bench state in which a rated point was taken, if it was."""
    return models.ForeignKey(
        "vehicles.BenchPoint", null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
