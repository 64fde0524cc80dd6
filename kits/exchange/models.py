"""A workbook that was checked and waits to be applied."""

from django.conf import settings
from django.db import models

from vehicles.records.models import one_of

PLAN_STATES = [
    ("refused", "refused"),
    ("ready", "ready"),
    ("applied", "applied"),
    ("overtaken", "overtaken"),
]


class ImportPlan(models.Model):
    """The dry run of a workbook: what it would change, or every problem it has."""

    file_name = models.CharField(max_length=200)
    sha256 = models.CharField(max_length=64)
    state = models.CharField(max_length=10, choices=PLAN_STATES)
    plan = models.JSONField(help_text="rows to add, change and remove by sheet; problems by place")
    catalogue_stamp = models.PositiveIntegerField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField(auto_now_add=True)
    applied_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        constraints = [one_of("state", PLAN_STATES, "import_plan_state_known")]
