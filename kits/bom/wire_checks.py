"""Whether fuses protect their wires, wires carry their current, and diodes stand the right way round."""

import json
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from kits.bom.mending import row
from kits.bom.resolved import Finding, Wire


@cache
def _limits() -> tuple[tuple[float, float], ...]:
    text = (Path(__file__).parent / "data" / "wires.json").read_text(encoding="utf-8")
    rows: dict[str, float] = json.loads(text)["fuse_limit_a"]
    return tuple(sorted((float(section), limit) for section, limit in rows.items()))


def carries_a(section_mm2: float) -> float | None:
    """The largest fuse, and so the largest lasting current, in A that a copper conductor bears.

    Parameters: section_mm2; between two sections of the table the smaller one counts. Returns None below the
    smallest section. Valid for a bundled conductor under the bonnet. Source: data/wires.json (from memory).
    """
    fitting = [limit for section, limit in _limits() if section <= section_mm2 + 1e-9]
    return fitting[-1] if fitting else None


def wire_findings(wires: Sequence[Wire], positive_earth: bool | None) -> Iterator[Finding]:
    """Findings of each circuit; the polarity is the car's, None when it is not known.

    A diode across a coil blocks while the coil is fed, so its band stands on the plus side: at the feed ("from")
    on negative earth, at the earth side ("to") on positive earth.
    """
    for wire in wires:
        key = wire.position, wire.number
        where, name = f"circuit:{wire.position}/{wire.number}", f"Circuit {wire.position}/{wire.number}"
        if not wire.leads_to:
            sentence = f"{name}: what it leads to is not recorded, so its current is not followed there."
            yield Finding("circuit-end-unknown", "warns", where, sentence, row("Circuits", "leads_to", *key))
        limit = carries_a(wire.section_mm2)
        if limit is not None and wire.fuse_a is not None and wire.fuse_a > limit:
            sentence = (
                f"{name}: the wire of {wire.section_mm2:g} mm² is hot before its fuse of {wire.fuse_a:g} A blows;"
                f" at most {limit:g} A, or a thicker wire."
            )
            yield Finding("fuse-over-wire", "blocks", where, sentence, row("Circuits", "fuse_a", *key))
        if wire.fuse_a is not None and wire.current_a is not None and wire.fuse_a < wire.current_a:
            sentence = f"{name}: the fuse of {wire.fuse_a:g} A is below the current of {wire.current_a:g} A."
            yield Finding("fuse-under-current", "blocks", where, sentence, row("Circuits", "fuse_a", *key))
        if limit is not None and wire.current_a is not None and wire.current_a > limit:
            sentence = (
                f"{name}: {wire.current_a:g} A is more than a wire of {wire.section_mm2:g} mm² carries"
                f" ({limit:g} A)."
            )
            yield Finding(
                "wire-over-current", "blocks", where, sentence, row("Circuits", "section_mm2", *key)
            )
        right = "to" if positive_earth else "from"
        if positive_earth is not None and wire.diode_band not in ("", right):
            earth = "positive" if positive_earth else "negative"
            end = "earth side (to)" if positive_earth else "feed (from)"
            sentence = (
                f"{name}: the diode is the wrong way round for {earth} earth, it would short the feed;"
                f" its band belongs to the {end}."
            )
            yield Finding("diode-reversed", "blocks", where, sentence, row("Circuits", "diode_band", *key))
