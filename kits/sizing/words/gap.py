"""What a point lacks, said once for every floor of the sizing."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Gap:
    """A required input that is missing: its path, where to mend it, and a sentence."""

    path: str
    where: str
    sentence: str
