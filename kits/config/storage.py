"""Static files with a fingerprint in their name."""

from typing import Any

from whitenoise.storage import CompressedManifestStaticFilesStorage, Compressor


class FingerprintedStorage(CompressedManifestStaticFilesStorage):
    """Fingerprinted and gzipped files.

    Brotli is left out: it happens to be importable (WeasyPrint brings it) and would make collecting the files
    ten times slower for no gain that a workshop notices.
    """

    def create_compressor(self, **kwargs: Any) -> Compressor:
        """The compressor without brotli."""
        return Compressor(**{**kwargs, "use_brotli": False})
