"""How the backups stand: when the newest whole one was made, and how the last nightly try went."""

from dataclasses import dataclass
from datetime import datetime

from django.conf import settings
from django.utils import timezone

from kits.config.backup.shelf import is_to_come, labels
from kits.work.kind import CANCELLED, DONE, FAILED
from kits.work.models import Work


@dataclass(frozen=True)
class BackupFailure:
    """A nightly backup that was not made: when, why, and the work that says so."""

    at: datetime
    sentence: str
    work: int


@dataclass(frozen=True)
class BackupStanding:
    """How they stand.

    newest_at: when the newest whole backup was made, those of a time to come left out; last_failure: of the last try,
    while none was made since.
    """

    newest_at: datetime | None
    last_failure: BackupFailure | None


def backup_standing() -> BackupStanding:
    """How they stand; a folder that is missing or can't be read has none. Raises DatabaseError."""
    newest_at = _newest_at()
    last = Work.objects.filter(kind="backup", state__in=(DONE, FAILED, CANCELLED)).first()
    if last is None or last.state == DONE or last.ended_at is None:
        return BackupStanding(newest_at, None)
    if newest_at is not None and newest_at > last.ended_at:
        return BackupStanding(newest_at, None)
    return BackupStanding(newest_at, BackupFailure(last.ended_at, last.sentence, last.pk))


def _newest_at() -> datetime | None:
    try:
        now = timezone.now()
        made = [label.made_at for _, label in labels(settings.BACKUP_DIR) if not is_to_come(label, now)]
    except OSError:
        return None
    return max(made, default=None)
