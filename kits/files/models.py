"""The rows of what lies in the folder of files."""

from django.db import models


class File(models.Model):
    """Bytes that somebody sent or we made, named by their sha256; never changed."""

    sha256 = models.CharField(max_length=64, unique=True)
    size_bytes = models.PositiveBigIntegerField()
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.sha256
