"""What is asked about files: their bytes, and who points at them."""

from datetime import datetime

from django.conf import settings
from django.db.models import Exists, OuterRef, QuerySet

from kits.files.models import File
from kits.files.store import Lost, get, names, path_of, unfinished


def content_of(file: File) -> bytes:
    """The bytes. Raises Lost."""
    return get(settings.FILES_DIR, file.sha256)


def is_there(file: File) -> bool:
    """Whether it has bytes; whether they are the right ones is seen when they are read."""
    return path_of(settings.FILES_DIR, file.sha256).exists()


def unused(before: datetime) -> QuerySet[File]:
    """Files older than this at which no row of any table points."""
    found = File.objects.filter(made_at__lt=before)
    for relation in File._meta.related_objects:
        pointing = relation.related_model._default_manager.filter(**{relation.field.name: OuterRef("pk")})
        found = found.exclude(Exists(pointing))
    return found


def strays(before: datetime) -> list[str]:
    """Bytes older than this that no row names: their writer was killed between the two."""
    known = set(File.objects.values_list("sha256", flat=True))
    old = before.timestamp()
    return [name for name, at in names(settings.FILES_DIR) if at < old and name not in known]


def differences() -> list[str]:
    """A sentence for each row whose bytes are missing or other ones, and for bytes and remains without a row."""
    found = []
    for file in File.objects.order_by("pk").iterator():
        try:
            content_of(file)
        except Lost as lost:
            found.append(str(lost))
    known = set(File.objects.values_list("sha256", flat=True))
    found += [f"{name} belongs to no row." for name, _ in names(settings.FILES_DIR) if name not in known]
    found += [f"{path.name} was never finished." for path in unfinished(settings.FILES_DIR)]
    return found
