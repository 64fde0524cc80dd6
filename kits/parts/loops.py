"""Loops in the structure of parts: an assembly that contains itself, at whatever depth."""

from collections.abc import Collection, Mapping


def loop_through(start: str, child: str, content: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    """The way from a part through one of its children back to itself; empty where there is none.

    Parameters: content, the part numbers within each part, whatever revision says so.
    Returns: the part numbers in order, beginning and ending with `start`; of several ways a shortest.
    """
    ways: list[tuple[str, ...]] = [(start, child)]
    seen = {child}
    for way in ways:
        if way[-1] == start:
            return way
        for inner in content.get(way[-1], ()):
            if inner not in seen:
                seen.add(inner)
                ways.append((*way, inner))
    return ()


def way_in_words(way: Collection[str]) -> str:
    """A way as people read it: A → B → A."""
    return " → ".join(way)
