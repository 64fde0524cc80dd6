"""Which way the current takes through a harness: from the battery to a consumer and back by its earth."""

from collections.abc import Sequence
from dataclasses import dataclass

from kits.bom.resolved import Wire
from kits.bom.roles import EARTH


@dataclass(frozen=True)
class Circuit:
    """A consumer with the wires its current goes through."""

    consumer: str
    current_a: float
    feeds: tuple[Wire, ...]
    """from the source to the consumer"""
    earth: Wire

    @property
    def leads_to(self) -> str:
        """What the consumer is, by the wire that feeds it."""
        return self.feeds[-1].leads_to

    @property
    def wires(self) -> tuple[Wire, ...]:
        """Feeds and earth."""
        return (*self.feeds, self.earth)


def device(end: str) -> str:
    """The device of a wire's end ("blower/2" is "blower")."""
    return end.partition("/")[0].strip()


def is_earth(wire: Wire) -> bool:
    """Whether a wire ends at an earth."""
    return wire.leads_to == EARTH


def feeds_to(wires: Sequence[Wire], consumer: str, current_a: float) -> tuple[Wire, ...]:
    """The wires that bring a current to a device, the source's first.

    At each device the feed is the wire into it with the smallest current that is still enough, so that a relay's
    coil is not taken for its supply. Ends where nothing leads into a device any more.
    """
    found: list[Wire] = []
    at, seen = consumer, {consumer}
    while True:
        into = [
            w
            for w in wires
            if device(w.end) == at
            and device(w.start) not in seen
            and w.current_a is not None
            and w.current_a >= current_a - 1e-9
        ]
        if not into:
            return tuple(reversed(found))
        feed = min(into, key=lambda w: (w.current_a or 0.0, -w.section_mm2, w.position, w.number))
        found.append(feed)
        at = device(feed.start)
        seen.add(at)


def circuits(wires: Sequence[Wire]) -> tuple[Circuit, ...]:
    """Consumers with a wire to earth, by the largest earth current of each; those without a feed are left out."""
    earths: dict[str, Wire] = {}
    for wire in wires:
        name = device(wire.start)
        if not is_earth(wire) or wire.current_a is None or name == device(wire.end):
            continue
        held = earths.get(name)
        if held is None or wire.current_a > (held.current_a or 0.0):
            earths[name] = wire
    found = []
    for name, earth in earths.items():
        feeds = feeds_to(wires, name, earth.current_a or 0.0)
        if feeds:
            found.append(Circuit(name, earth.current_a or 0.0, feeds, earth))
    return tuple(found)


def fuse_before_a(wires: Sequence[Wire], wire: Wire) -> float | None:
    """The fuse that a fault of this wire has to blow: its own, else the nearest one before it; None without one."""
    if wire.fuse_a is not None:
        return wire.fuse_a
    for feed in reversed(feeds_to(wires, device(wire.start), wire.current_a or 0.0)):
        if feed.fuse_a is not None:
            return feed.fuse_a
    return None
