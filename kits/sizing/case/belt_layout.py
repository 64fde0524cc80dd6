"""The pulleys of a car as belts: which run over which pulleys, in which order, and which belt turns the compressor."""

from dataclasses import dataclass, replace

import numpy as np

from kits.sizing.case.case import PulleyAt
from kits.sizing.mechanics import belt as b
from vehicles.powertrain.pulleys import COMPRESSOR, GENERATOR


@dataclass(frozen=True)
class Layout:
    """The pulleys of one belt in its order with the belt's way over them; no way where they can't carry one."""

    pulleys: tuple[PulleyAt, ...]
    run: b.BeltRun | None
    offset_mm: tuple[float | None, ...] = ()
    """per 200 mm of the free length to the next pulley"""
    name: str = "the belt"

    def on(self, thing: str) -> int | None:
        """Place in the belt's order of the first pulley that sits on a thing."""
        return next((i for i, p in enumerate(self.pulleys) if p.drives == thing), None)

    @property
    def wrapped(self) -> list[tuple[str, int]]:
        """The pulleys whose wrap is judged, by their names and places in the belt's order."""
        found = ((thing, self.on(thing)) for thing in (COMPRESSOR, GENERATOR))
        return [(name, at) for name, at in found if at is not None]


def belts_of(pulleys: tuple[PulleyAt, ...]) -> tuple[Layout, ...]:
    """The belts, one at least: the first one's order counts from 1, the second one's from 11, the third's from 21."""
    tens = sorted({p.order // 10 for p in pulleys if p.order is not None})
    if len(tens) < 2:
        return (layout_of(pulleys),)
    held = [tuple(p for p in pulleys if p.order is not None and p.order // 10 == ten) for ten in tens]
    return tuple(replace(layout_of(one), name=f"belt {n}") for n, one in enumerate(held, 1))


def driving(layouts: tuple[Layout, ...]) -> Layout:
    """The belt that turns the compressor; where none is said to, the first."""
    return next((one for one in layouts if one.on(COMPRESSOR) is not None), layouts[0])


def layout_of(pulleys: tuple[PulleyAt, ...]) -> Layout:
    """One belt over the pulleys that have a place in its order."""
    on = tuple(sorted((p for p in pulleys if p.order is not None), key=lambda p: p.order or 0))
    if len(on) < 2:
        return Layout(on, None)
    x, y, d = np.array([(p.x_mm, p.y_mm, p.diameter_mm) for p in on]).T
    try:
        run = b.belt_run(x, y, d, np.array([p.side == "outer" for p in on]))
    except ValueError:
        return Layout(on, None)
    plane = np.array([np.nan if p.plane_mm is None else p.plane_mm for p in on])
    offset = np.atleast_1d(b.plane_offset_mm_per_200(plane, run.span_mm))
    return Layout(on, run, tuple(float(o) if np.isfinite(o) else None for o in offset))
