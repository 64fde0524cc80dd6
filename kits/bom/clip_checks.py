"""Whether the kit brings a clip for each end of a water hose, and P-clips enough to hold the hoses on their way."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from kits.bom.mending import Mend, row
from kits.bom.resolved import Finding, Hose, Joint

P_CLIP = "P-clip"


@dataclass(frozen=True, kw_only=True)
class Clip:
    """Clips of the parts list: what closes a water hose, or holds a hose on its way."""

    position: int
    part: str
    name: str
    kind: str
    size: str
    quantity: Decimal
    entry: int = 0
    """the entry that brings it"""


def kinds_of(clips: Sequence[Clip]) -> dict[int, str]:
    """The kind of the clips that close a water hose, by position; P-clips close none."""
    return {clip.position: clip.kind for clip in clips if clip.kind != P_CLIP}


def holds(length_mm: float, spacing_mm: float) -> int:
    """Clips that a hose takes between its ends, which its fittings hold, so that no free span is longer.

    Common practice, no source. A length is measured to the millimetre: 1,000 mm at 250 mm takes three.
    """
    return max(0, ceil(length_mm / spacing_mm) - 1)


def clip_findings(
    joints: Sequence[Joint],
    hoses: Sequence[Hose],
    clips: Sequence[Clip],
    spacings: Mapping[int, float],
    gapped: frozenset[int],
) -> Iterator[Finding]:
    """Water joints without a clip, positions with fewer clips than joints take, and hoses that hang free.

    Parameters: spacings (position of P-clips -> how far apart they hold the hoses, in mm), gapped (positions that are
    empty although they must not be; that is told once, as a gap).
    """
    yield from _of_joints(joints, clips, gapped)
    for position, spacing_mm in spacings.items():
        if position in gapped:
            continue
        yield from _of_hoses(hoses, [c for c in clips if c.position == position], position, spacing_mm)


def _of_joints(joints: Sequence[Joint], clips: Sequence[Clip], gapped: frozenset[int]) -> Iterator[Finding]:
    water = [joint for joint in joints if joint.takes_clip]
    for joint in water:
        if joint.clip_position is None:
            sentence = f"Joint {joint.code} is a water hose on a stub, but no clip is named that closes it."
            mend = row("Joints", "clip_position", joint.code)
            yield Finding("joint-no-clip", "warns", f"joint:{joint.code}", sentence, mend)
    for place in dict.fromkeys((j.clip_position, j.size) for j in water if j.clip_position is not None):
        position, size = place
        taking = [j.code for j in water if (j.clip_position, j.size) == place]
        having = [c for c in clips if c.position == position and c.size == size and c.kind != P_CLIP]
        count = sum((c.quantity for c in having), Decimal(0))
        if position is not None and position not in gapped and count < len(taking):
            sentence = (
                f"{_many(len(taking), 'joint')} ({', '.join(taking)}) take{'' if len(taking) > 1 else 's'} a clip for"
                f" {size} mm hose of position {position}, which has {count.normalize():f}."
            )
            yield Finding("clip-missing", "blocks", f"position:{position}", sentence, _more(position, having))


def _of_hoses(
    hoses: Sequence[Hose], clips: Sequence[Clip], position: int, spacing_mm: float
) -> Iterator[Finding]:
    for size in dict.fromkeys(hose.size for hose in hoses):
        along = [h for h in hoses if h.size == size and h.routed_mm is not None]
        needed = sum(holds(h.routed_mm, spacing_mm) for h in along if h.routed_mm is not None)
        having = [c for c in clips if c.size == size and c.kind == P_CLIP]
        count = sum((c.quantity for c in having), Decimal(0))
        if count < needed:
            tags = ", ".join(f"{h.tag} {h.routed_mm:g} mm" for h in along)
            sentence = (
                f"The {size} hoses ({tags}), held every {spacing_mm:g} mm, take {_many(needed, 'P-clip')};"
                f" position {position} has {count.normalize():f} of that size."
            )
            yield Finding("clip-count", "warns", f"position:{position}", sentence, _more(position, having))


def _more(position: int, having: Sequence[Clip]) -> Mend | None:
    """The quantity of the clips that are too few, where an entry brings some."""
    entry = having[0].entry if having else 0
    return row("Entries", "quantity", position, entry) if entry else None


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
