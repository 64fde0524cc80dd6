"""The order of rows: what was meant by the places somebody typed, and few new numbers that say it."""

from bisect import bisect_left
from collections.abc import Mapping, Sequence

STEP = 10
HIGHEST = 32_767


def arranged(keys: Sequence[str], places: Sequence[int]) -> list[str]:
    """The keys in the order that the typed places mean.

    keys: in the order shown; places: what stands beside each, counted from 1. A row that keeps its place gives way
    to one that was moved there: before it when it came up from below, behind it when it came down.
    """

    def rank(i: int) -> tuple[int, int]:
        shown = i + 1
        return places[i], (places[i] > shown) - (places[i] < shown)

    return [keys[i] for i in sorted(range(len(keys)), key=rank)]


def renumbered(wanted: Sequence[str], held: Mapping[str, int]) -> dict[str, int]:
    """The new numbers of the rows that must have one so that all stand in the wanted order.

    held: the number of each row. Rows whose numbers rise already keep them; the others get numbers between, and
    where there is no room all are counted anew in tens. ValueError when there are more rows than numbers.
    """
    if len(wanted) > HIGHEST:
        raise ValueError(f"There are {len(wanted)} rows, and only {HIGHEST} numbers.")
    kept = _longest_rise(wanted, held)
    numbers: dict[str, int] = {}
    before = 0
    i = 0
    while i < len(wanted):
        if wanted[i] in kept:
            before = numbers[wanted[i]] = held[wanted[i]]
            i += 1
            continue
        end = next((j for j in range(i, len(wanted)) if wanted[j] in kept), len(wanted))
        count = end - i
        after = held[wanted[end]] if end < len(wanted) else before + STEP * (count + 1)
        if after - before <= count or before + count > HIGHEST:
            return _counted_anew(wanted, held)
        last = min(after, HIGHEST + 1)
        for n, key in enumerate(wanted[i:end], 1):
            numbers[key] = before + (last - before) * n // (count + 1)
        before = numbers[wanted[end - 1]]
        i = end
    return {key: number for key, number in numbers.items() if number != held[key]}


def _longest_rise(wanted: Sequence[str], held: Mapping[str, int]) -> set[str]:
    """The keys of a longest run of rising numbers, by patience sorting."""
    tops: list[int] = []
    at: list[int] = []
    previous: list[int | None] = []
    for i, key in enumerate(wanted):
        k = bisect_left(tops, held[key])
        previous.append(at[k - 1] if k else None)
        if k == len(tops):
            tops.append(held[key])
            at.append(i)
        else:
            tops[k], at[k] = held[key], i
    found: set[str] = set()
    i_or_none = at[-1] if at else None
    while i_or_none is not None:
        found.add(wanted[i_or_none])
        i_or_none = previous[i_or_none]
    return found


def _counted_anew(wanted: Sequence[str], held: Mapping[str, int]) -> dict[str, int]:
    step = STEP if len(wanted) * STEP <= HIGHEST else 1
    return {key: n * step for n, key in enumerate(wanted, 1) if held[key] != n * step}
