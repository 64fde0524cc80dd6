"""The harness of a fitment: what each circuit loses, and whether wires and fuses suit each other."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from kits.bom.mending import row
from kits.bom.resolved import Finding, Wire
from kits.bom.roles import BLOWER
from kits.sizing.case.idle_blower import blowers_a, blowers_rated_a, supplies_read_v
from kits.sizing.case.wire_paths import Circuit, circuits, device, fuse_before_a, is_earth
from kits.sizing.electrics import electrics as e
from kits.sizing.verdict.checks_electrics import where_of, wires_of
from kits.topics.context import Context
from kits.topics.figure import Figure, Table, figure, given

WIRE_HEADS = (
    "circuit", "from", "to", "mm²", "m", "A", "fuse before it, A", "largest fuse allowed, A",
    "suitable fuse, A",
    "loss, V", "least, mm²",
)  # fmt: skip
WIRES = "Wires; a suitable fuse is the smallest that holds the current for long and still protects the wire"
EARTH_RETURN = "earth return, none of its own"
CIRCUIT_HEADS = ("consumer", "A", "way", "m there and back", "loss, V", "loss, %", "allowed, %")
Key = tuple[int, int]


@dataclass(frozen=True)
class Harness:
    """The kit's wires with what each loses; circuits are those whose every wire has a known loss."""

    wires: tuple[Wire, ...]
    losses_v: Mapping[Key, float]
    circuits: tuple[Circuit, ...]
    supply_v: float
    high_voltage_v: float | None
    unknown: tuple[Finding, ...]
    """a remark for each wire whose loss can't be worked out"""

    def loss_v(self, circuit: Circuit) -> float:
        """Loss of a circuit, there and back."""
        return sum(self.losses_v[_key(w)] for w in circuit.wires)

    def worst(self) -> Circuit | None:
        """The circuit that loses most."""
        return max(self.circuits, key=self.loss_v, default=None)

    def volts_of(self, wire: Wire) -> float | None:
        """The voltage that a wire carries."""
        return self.high_voltage_v if wire.high_voltage else self.supply_v

    @property
    def allowed_v(self) -> float:
        """What a circuit may lose."""
        return e.electrics_constants().allowed_drop_share * self.supply_v


def harness_of(context: Context) -> Harness:
    """The harness of the resolved kit."""
    wires = wires_of(context.kit)
    losses, unknown = _losses(wires)
    paths = tuple(c for c in circuits(wires) if all(_key(w) in losses for w in c.wires))
    case = context.case
    return Harness(wires, losses, paths, case.unit.supply_voltage_v, case.car.high_voltage_v, tuple(unknown))


def _key(wire: Wire) -> Key:
    return wire.position, wire.number


def _losses(wires: tuple[Wire, ...]) -> tuple[dict[Key, float], list[Finding]]:
    """Loss of each wire in V, and a remark for each whose loss can't be worked out."""
    whole = [w for w in wires if w.length_mm is not None and w.current_a is not None]
    remarks = []
    for wire in wires:
        lacks = [n for n, v in (("length", wire.length_mm), ("current", wire.current_a)) if v is None]
        if lacks:
            sentence = f"Circuit {wire.position}/{wire.number} has no {' and no '.join(lacks)}: its loss isn't known."
            field = "length_mm" if wire.length_mm is None else "current_a"
            mend = row("Circuits", field, wire.position, wire.number)
            remarks.append(Finding("wire-loss-unknown", "warns", where_of(wire), sentence, mend))
    if not whole:
        return {}, remarks
    current, section, length = np.array(
        [(w.current_a, w.section_mm2, (w.length_mm or 0) / 1000) for w in whole], dtype=float
    ).T
    drops = np.atleast_1d(e.voltage_drop_v(current, section, length))
    for wire, drop in zip(whole, drops, strict=True):
        if not np.isfinite(drop):
            name = f"Circuit {wire.position}/{wire.number}"
            sentence = f"{name}: {wire.section_mm2:g} mm² is no wire for {wire.current_a:g} A."
            remarks.append(Finding("wire-loss-unknown", "warns", where_of(wire), sentence))
    return {_key(w): float(d) for w, d in zip(whole, drops, strict=True) if np.isfinite(d)}, remarks


def circuit_table(harness: Harness) -> list[Table]:
    """Circuits by their loss, the largest first."""
    rows = []
    for path in sorted(harness.circuits, key=lambda p: -harness.loss_v(p)):
        loss = harness.loss_v(path)
        way = " – ".join([device(path.feeds[0].start), *(device(w.end) for w in path.wires)])
        length = sum(w.length_mm or 0 for w in path.wires) / 1000
        allowed = 100 * e.electrics_constants().allowed_drop_share
        rows.append(
            (path.consumer, f"{path.current_a:g}", way, f"{length:.2f}", f"{loss:.2f}",
             f"{100 * loss / harness.supply_v:.1f}", f"{allowed:g}")
        )  # fmt: skip
    return (
        [Table("Loss by circuit, everything on and the wires warm", CIRCUIT_HEADS, tuple(rows))]
        if rows
        else []
    )


def wire_table(harness: Harness) -> list[Table]:
    """Every wire with its loss, its fuse and what would be enough."""
    least, suitable = _least(harness)
    rows = []
    for i, wire in enumerate(harness.wires):
        rows.append(
            (
                f"{wire.position}/{wire.number}", device(wire.start), device(wire.end), f"{wire.section_mm2:g}",
                _text(None if wire.length_mm is None else wire.length_mm / 1000), _text(wire.current_a),
                *_fuse_texts(harness, wire, suitable[i]), _text(harness.losses_v.get(_key(wire)), 3), _text(least[i]),
            )
        )  # fmt: skip
    return [Table(WIRES, WIRE_HEADS, tuple(rows))] if rows else []


def _fuse_texts(harness: Harness, wire: Wire, suitable_a: float | None) -> tuple[str, str, str]:
    """The fuse before a wire, the largest and the suitable one; an earth return has what feeds its device."""
    if wire.fuse_a is None and is_earth(wire):
        return EARTH_RETURN, "–", "–"
    fuse = fuse_before_a(harness.wires, wire)
    largest = float(e.largest_current_a(wire.section_mm2))
    return "none" if fuse is None else f"{fuse:g}", _text(largest), _text(suitable_a)


def _text(value: float | None, decimals: int | None = None) -> str:
    if value is None or not np.isfinite(value):
        return "not known" if value is None else "none"
    return f"{value:g}" if decimals is None else f"{value:.{decimals}f}"


def _least(harness: Harness) -> tuple[list[float | None], list[float | None]]:
    """By wire: the least section that bears its current and alone loses no more than a circuit may, and its fuse.

    NaN where no standard one does it, None where an input is missing.
    """
    share = e.electrics_constants().allowed_drop_share
    rows = [(w.current_a, w.length_mm, harness.volts_of(w), w.section_mm2) for w in harness.wires]
    amps, mm, volts, section = np.array(rows, dtype=float).reshape(-1, 4).T
    least, fuse = e.smallest_section_mm2(amps, mm / 1000, share * volts), e.protecting_fuse_a(amps, section)
    known = np.isfinite(amps) & np.isfinite(mm) & np.isfinite(volts)
    return (
        [float(s) if k else None for s, k in zip(least, known, strict=True)],
        [float(f) if np.isfinite(a) else None for f, a in zip(fuse, amps, strict=True)],
    )


def drop_figures(harness: Harness) -> list[Figure]:
    """The largest loss with the wires it comes from."""
    worst = harness.worst()
    if worst is None:
        return []
    c = e.electrics_constants()
    inputs = [
        given(
            f"{w.position}/{w.number} {device(w.start)} to {device(w.end)}",
            "",
            f"{w.section_mm2:g} mm², {(w.length_mm or 0) / 1000:.2f} m, {w.current_a:g} A",
            "circuit of the kit",
            where_of(w),
        )
        for w in worst.wires
    ]
    inputs.append(given("around the bundle", "c", c.surroundings_c, "assumed: data/electrics.json"))
    loss = harness.loss_v(worst)
    made = figure(f"Largest loss, circuit of the {worst.consumer}", "v", loss, e.voltage_drop_v, *inputs)
    return [replace(made, text=f"{loss:.2f} V of {harness.supply_v:g} V")]


def drop_remarks(harness: Harness) -> list[Finding]:
    """Circuits that lose more than is allowed, with the wire that would cure each."""
    found = []
    for path in harness.circuits:
        loss = harness.loss_v(path)
        if loss <= harness.allowed_v:
            continue
        weakest = max(path.wires, key=lambda w: harness.losses_v[_key(w)])
        rest = loss - harness.losses_v[_key(weakest)]
        cure = _thicker(weakest, harness.allowed_v - rest)
        sentence = (
            f"The circuit of the {path.consumer} loses {loss:.2f} V of {harness.supply_v:g} V, more than "
            f"{harness.allowed_v:.2f} V; most of it in circuit {weakest.position}/{weakest.number} of "
            f"{weakest.section_mm2:g} mm²: {cure}."
        )
        found.append(Finding("circuit-loss", "warns", where_of(weakest), sentence))
    return found


def plug_remarks(context: Context, harness: Harness) -> list[Finding]:
    """Where the volts read at the blower's plug tell another loss of its circuit than its wires do."""
    case = context.case
    paths = [c for c in harness.circuits if c.leads_to == BLOWER]
    read_v, plug_v, amps = (
        float(supplies_read_v([case])[0]),
        case.mounting.blower_voltage_v,
        blowers_a(case)[0],
    )
    # where more arrives than the supply is counted with, the reading tells no loss
    if len(paths) != 1 or plug_v is None or amps is None or not read_v > plug_v:
        return []
    if case.car.system_voltage_v != harness.supply_v:
        return []
    of_plug, of_wires = read_v - plug_v, harness.loss_v(paths[0]) * amps / blowers_rated_a(case)[0]
    if abs(of_plug - of_wires) <= e.electrics_constants().plug_apart_share * harness.supply_v:
        return []
    sentence = (
        f"The blower's circuit loses {of_plug:.2f} V by the volts read at its plug, with the supply taken as "
        f"{read_v:.2f} V, and {of_wires:.2f} V by its wires at that current: read plug and battery together."
    )
    mend = row("Fitments", "blower_voltage_v", context.kit.variant)
    return [Finding("plug-and-wires-differ", "notes", "fitment", sentence, mend)]


def unfed_remarks(harness: Harness) -> list[Finding]:
    """A way that begins at a device with an earth of its own doesn't begin at a source."""
    earthed = {device(w.start) for w in harness.wires if is_earth(w)}
    first: dict[str, Wire] = {}
    for path in harness.circuits:
        if device(path.feeds[0].start) in earthed:
            first.setdefault(device(path.feeds[0].start), path.feeds[0])
    return [
        Finding(
            "circuit-unfed",
            "warns",
            where_of(wire),
            f"Nothing in this car's harness feeds the {name}: its circuits are followed from there only.",
        )
        for name, wire in sorted(first.items())
    ]


def _thicker(wire: Wire, allowed_v: float) -> str:
    """What would cure a circuit by its weakest wire alone."""
    try:
        section = e.smallest_section_mm2(wire.current_a or 0.0, (wire.length_mm or 0) / 1000, allowed_v)
    except ValueError:
        return "no thicker wire there is enough, the others lose too much as well"
    return f"{float(section):g} mm² there would do"
