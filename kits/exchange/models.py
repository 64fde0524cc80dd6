"""A workbook that was checked and waits to be applied, what was changed in rows, and which values were confirmed."""

from django.conf import settings
from django.db import models

from vehicles.records.models import Act, one_of

PLAN_STATES = [
    ("refused", "refused"),
    ("ready", "ready"),
    ("applied", "applied"),
    ("overtaken", "overtaken"),
]
CHANGE_KINDS = [(k, k) for k in ("add", "change", "remove")]


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


class RowChange(models.Model):
    """One row that an act added, changed or removed; never edited, so that anything can be undone.

    The row is named as the workbook names it: by its sheet and its key. Option terms and what a step fits are
    fields of their owner, so that one change tells all of it.
    """

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="row_changes")
    line = models.CharField(max_length=30, blank=True)
    sheet = models.CharField(max_length=40)
    label = models.CharField(max_length=300)
    key = models.JSONField()
    kind = models.CharField(max_length=6, choices=CHANGE_KINDS)
    fields = models.JSONField(help_text="old and new value of each field")

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["sheet", "label"], name="row_change_of_a_row")]
        constraints = [one_of("kind", CHANGE_KINDS, "row_change_kind_known")]


class UnusualValue(models.Model):
    """A value outside what is usual, and who said that it is as meant; never edited, so that nobody is asked again.

    The value is named by its place, as a question of the plan names it (kits.exchange.unusual), not by a row's number:
    a row that is removed and comes again is the same place.
    """

    act = models.ForeignKey(
        Act, on_delete=models.PROTECT, related_name="+", help_text="that of the rows it was written with"
    )
    line = models.CharField(max_length=30, blank=True, help_text="none for a shared row")
    sheet = models.CharField(max_length=40)
    key = models.JSONField(help_text="what names the place")
    field = models.CharField(max_length=60)
    value = models.CharField(max_length=40, help_text="the shortest text that gives the number back")

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["sheet", "field"], name="unusual_value_of_a_field")]
