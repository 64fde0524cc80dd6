"""What takes longer than a second: our own row says what is to be done, and how far it is."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from kits.files.models import File
from kits.work.kind import RUNNING, STATES, WAITING
from vehicles.records.models import one_of


class Work(models.Model):
    """One work. The row is the truth; the queue's messages only say that somebody should look at it."""

    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=200, help_text="what it is about: the same kind and key waits once")
    title = models.CharField(max_length=200, help_text="in words")
    wanted = models.JSONField(default=dict, help_text="what was asked for")
    page = models.CharField(max_length=300, blank=True, help_text="where its answer is seen")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="+",
        help_text="empty: the console",
    )  # fmt: skip
    file = models.ForeignKey(
        File,
        on_delete=models.PROTECT,
        null=True,
        related_name="works",
        help_text="what it was given, or has made",
    )
    state = models.CharField(max_length=9, choices=[(s, s) for s in STATES], default=WAITING)
    done_count = models.PositiveIntegerField(default=0)
    of_count = models.PositiveIntegerField(null=True, help_text="empty: not known yet")
    place = models.JSONField(default=dict, help_text="where the next worker goes on")
    sentence = models.TextField(blank=True, help_text="how it ended")
    result = models.JSONField(default=dict)
    token = models.UUIDField(null=True, help_text="of the worker that has it: no other one may write")
    tries_count = models.PositiveSmallIntegerField(default=0)
    asked_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True)
    before_count = models.PositiveIntegerField(default=0)
    beat_at = models.DateTimeField(null=True, help_text="the worker's last sign of life")
    step_at = models.DateTimeField(null=True, help_text="when its last step was written")
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "key"], condition=Q(state=WAITING), name="work_waiting_once"
            ),
            models.UniqueConstraint(
                fields=["kind", "key"], condition=Q(state=RUNNING), name="work_running_once"
            ),
            one_of("state", [(s, s) for s in STATES], "work_state_known"),
            models.CheckConstraint(
                condition=Q(of_count__isnull=True) | Q(done_count__lte=F("of_count")),
                name="work_done_at_most_all",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_open(self) -> bool:
        """Whether it still waits or runs."""
        return self.state in (WAITING, RUNNING)


class WorkersBeat(models.Model):
    """One row: when a worker of the site, on whatever machine, last gave a sign of life, also while nothing waits."""

    at = models.DateTimeField()
