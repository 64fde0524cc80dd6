"""Steps that answer their pattern in full, for kits that tests make up."""

from dataclasses import replace

from kits.bom.catalogue import ReadingSpec
from kits.bom.step_patterns import patterns


def readings(code, involves):
    """A reading for each blank that the pattern asks for, as it asks for it."""
    asked = patterns()[code].asked_blanks(frozenset(involves))
    return tuple(
        ReadingSpec(
            name=b.name,
            unit=b.unit,
            low=b.low,
            high=b.high,
            limit_from=b.limit_from,
            number=i,
            writes=b.writes,
            answers=b.code,
            predicted=b.predicted,
        )
        for i, b in enumerate(asked, 1)
    )


def answering(step, code, involves, **changes):
    """The step made one of a pattern: its kind, whether it holds, its text, its blanks."""
    pattern = patterns()[code]
    given = {
        "kind": pattern.kind, "hold_point": pattern.hold_point, "text": pattern.text, "pattern": code,
        "readings": readings(code, involves),
    }  # fmt: skip
    return replace(step, **{**given, **changes})
