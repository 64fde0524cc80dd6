"""Keep bytes, and let those go that nothing points at."""

from datetime import datetime

from django.conf import settings
from django.db import transaction

from kits.files.models import File
from kits.files.queries import strays, unused
from kits.files.store import drop, put, unfinished


def keep(content: bytes, now: datetime) -> File:
    """The file of these bytes; the same bytes are one file. Raises NotKept.

    The bytes are on the disk before the row is written: a row never names what is not there.
    """
    sha256 = put(settings.FILES_DIR, content)
    with transaction.atomic():
        file, is_new = File.objects.get_or_create(
            sha256=sha256, defaults={"size_bytes": len(content), "made_at": now}
        )
        if not is_new:  # asked for again: it is not to be tidied away meanwhile
            file.made_at = now
            file.save(update_fields=["made_at"])
    put(settings.FILES_DIR, content)  # should somebody have tidied the bytes away before the row stood
    return file


def tidy_files(before: datetime) -> int:
    """Forget files older than this that nothing points at, and bytes without a row; returns how many."""
    forgotten = list(unused(before)[:1000])
    for file in forgotten:
        with transaction.atomic():
            # somebody may have begun to point at it since: then it stays
            gone = unused(before).filter(pk=file.pk).delete()[0]
        if gone:
            drop(settings.FILES_DIR, file.sha256)
    lost = strays(before)
    for sha256 in lost:
        drop(settings.FILES_DIR, sha256)
    for path in unfinished(settings.FILES_DIR):
        if path.stat().st_mtime < before.timestamp():
            path.unlink(missing_ok=True)
    return len(forgotten) + len(lost)
