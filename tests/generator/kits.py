"""Kits with positions, entries by option, hose runs, joints, a harness and steps."""

from dataclasses import dataclass, field
from decimal import Decimal
from random import Random
from typing import Any

from kits.models import (
    Circuit,
    Entry,
    EntryTerm,
    HoseRun,
    Joint,
    Kit,
    KitOffer,
    KitStep,
    Market,
    Position,
    ReadingSpec,
    Route,
    StepFits,
    StepTerm,
)
from tests.generator.cars import FEATURES, Cars
from tests.generator.parts import Parts
from tests.generator.rows import SOURCE, SURVEY, add

ZONES = ("dash", "engine bay", "nose", "cabin floor", "bulkhead")
# number, name, kind of its part, role, the feature its entries differ by
MAIN = (
    (100, "Compressor", "compressor", "compressor", "engine"),
    (110, "Compressor bracket", "bracket", "", "engine"),
    (200, "Coil unit", "assembly", "evaporator", "steering"),
    (300, "Condenser", "condenser", "condenser", "body"),
    (310, "Condenser fan", "condenser fan", "", "supply"),
    (320, "Receiver-drier", "receiver-drier", "", ""),
    (330, "Pressure switch", "pressure switch", "", ""),
    (500, "Duct", "duct", "", "steering"),
    (510, "Vent", "vent", "", "body"),
    (600, "Harness", "harness", "harness", "supply"),
)
FILLERS = ("bracket", "trim", "insulation", "fastener", "label", "O-ring", "consumable", "harness")
HOSES = (
    # number, route, name, from position and port, to position and port
    (400, "DIS", "Discharge hose", (100, "D"), (300, "IN")),
    (410, "LIQ1", "Hose to the drier", (300, "OUT"), (320, "IN")),
    (420, "LIQ2", "Liquid hose", (320, "OUT"), (200, "IN")),
    (430, "SUC", "Suction hose", (200, "OUT"), (100, "S")),
)
SIZE_OF = {"DIS": 1, "LIQ1": 0, "LIQ2": 0, "SUC": 2}
LAST_STEPS = ("pressure test", "evacuate", "charge", "test", "refit", "hand over")
POSITIONS = 70


HOSE_ROLES = {"DIS": "discharge hose", "LIQ1": "condenser hose", "LIQ2": "liquid hose", "SUC": "suction hose"}


@dataclass
class Kits:
    """What was made: the kits and what each is offered for; a line's routes by code."""

    kits: list[Any]
    offers: list[Any]
    routes: dict[tuple[int, str], Any] = field(default_factory=dict)


def make_kits(random: Random, count: int, cars: Cars, parts: Parts) -> Kits:
    """Kits, each offered for three lines (or for all, where there are fewer)."""
    kits = add([_kit(i) for i in range(count)])
    market = add([Market(code="HOME", name="Home market")])[0]
    offers = [
        KitOffer(kit=kit, line=line, market=market, duty_set=cars.duty_set)
        for i, kit in enumerate(kits)
        for line in dict.fromkeys(cars.lines[(2 * i + n) % len(cars.lines)] for n in range(3))
    ]
    routes = {
        (line.pk, code): Route(line=line, code=code, name=name, rock_mm=30.0, **SURVEY)
        for line in cars.lines
        for _, code, name, _, _ in HOSES
    }
    add(list(routes.values()))
    made = Kits(kits, add(offers), routes)
    positions = _positions(random, kits)
    _entries(random, positions, cars, parts)
    _hoses(made, positions, parts)
    _wires(positions)
    _steps(random, kits, positions, cars)
    return made


def _kit(index: int) -> Kit:
    return Kit(
        code=f"KIT-{index + 1:02d}", name=f"Slate coast kit {index + 1}", refrigerant="R-134a", oil="PAG 46",
        oil_family="pag", oil_grade=46,
        oil_ml=200.0, superheat_k=6.0, subcooling_k=6.0, freeze_cut_out_c=1.0, freeze_cut_in_c=4.0,
        fan_on_bar_g=15.0, high_cut_out_bar_g=28.0, high_reset_bar_g=20.0, low_cut_out_bar_g=2.0,
        discharge_limit_c=120.0, supply_voltage_v=12.0, kit_current_a=32.0, **SOURCE,
    )  # fmt: skip


def _positions(random: Random, kits: list[Any]) -> dict[tuple[int, int], Any]:
    rows = []
    for kit in kits:
        numbered = [(n, name, role) for n, name, _, role, _ in MAIN]
        numbered += [(n, name, HOSE_ROLES[code]) for n, code, name, _, _ in HOSES]
        more = POSITIONS - len(numbered)
        numbered += [(700 + 10 * i, f"{FILLERS[i % len(FILLERS)].capitalize()} {i}", "") for i in range(more)]
        for number, name, role in numbered:
            zone = random.choice(ZONES)
            rows.append(
                Position(kit=kit, number=number, name=name, zone=zone, bag=f"B{number // 100}", role=role)
            )
    return {(row.kit_id, row.number): row for row in add(rows)}


def _entries(random: Random, positions: dict[tuple[int, int], Any], cars: Cars, parts: Parts) -> None:
    by_number = {number: (kind, feature) for number, _, kind, _, feature in MAIN}
    hoses = {number for number, *_ in HOSES}
    entries, terms = [], []
    for position in positions.values():
        if position.number in hoses:
            continue
        kind, feature = by_number.get(position.number, ("", ""))
        if not kind:
            kind = FILLERS[(position.number - 700) // 10 % len(FILLERS)]
            feature = random.choice(("", *FEATURES))
        for number, option in enumerate(FEATURES.get(feature, ("",)), 1):
            part = random.choice(_chosen(parts, kind))
            entry = Entry(position=position, number=number, part=part, quantity=Decimal(random.randint(1, 6)))
            entries.append(entry)
            if option:
                terms.append(EntryTerm(entry=entry, option=cars.options[feature, option]))
    add(entries)
    add(terms)


def _chosen(parts: Parts, kind: str) -> list[Any]:
    """Of assemblies the first tier, which are coil units; of the rest three quarters, so that some lie idle."""
    rows = parts.by_kind[kind]
    return rows[: max(1, len(rows) // 3)] if kind == "assembly" else rows[: max(1, len(rows) * 3 // 4)]


def _hoses(made: Kits, positions: dict[tuple[int, int], Any], parts: Parts) -> None:
    first_line = {offer.kit_id: offer.line_id for offer in reversed(made.offers)}
    by_size = [
        ([h for h in parts.by_kind["hose"] if int(h.number[2:]) % 4 == s], ends)
        for s in range(4)
        for ends in [[e for e in parts.by_kind["hose end"] if int(e.number[2:]) % 4 == s]]
    ]
    runs, joints = [], []
    for i, kit in enumerate(made.kits):
        for number, route, name, (a, port_a), (b, port_b) in HOSES:
            hoses, ends = by_size[SIZE_OF[route]]
            position = positions[kit.pk, number]
            runs.append(
                HoseRun(
                    position=position, number=1, route=made.routes[first_line[kit.pk], route],
                    hose=hoses[i % len(hoses)], end_a=ends[i % len(ends)], end_b=ends[(i + 1) % len(ends)],
                    clocking_deg=90.0, tag=f"{kit.code} {name}",
                )
            )  # fmt: skip
            for code, (other, port), end in (
                (f"{route}-A", (a, port_a), "A"),
                (f"{route}-B", (b, port_b), "B"),
            ):
                joints.append(
                    Joint(
                        kit=kit, code=code, position_a=positions[kit.pk, other], port_a=port, position_b=position,
                        port_b=end,
                    )
                )  # fmt: skip
    add(runs)
    add(joints)


def _wires(positions: dict[tuple[int, int], Any]) -> None:
    add(
        [
            Circuit(
                position=position, number=n, from_connector="X1", from_cavity=str(n), to_connector=f"X{n + 1}",
                to_cavity="1", colour="red", section_mm2=2.5, length_mm=1200.0, fuse_a=20.0, current_a=9.0,
                leads_to="other",
            )
            for (_, number), position in positions.items()
            if number == 600
            for n in range(1, 13)
        ]
    )  # fmt: skip


def _steps(random: Random, kits: list[Any], positions: dict[tuple[int, int], Any], cars: Cars) -> None:
    steps, fits, readings, terms = [], [], [], []
    for kit in kits:
        own = [p for (kit_id, _), p in positions.items() if kit_id == kit.pk]
        opened = {p.bag: p for p in reversed(own)}
        for number, position in enumerate(own, 1):
            opens = f"{{open:{position.bag}}}. " if opened[position.bag] is position else ""
            step = KitStep(
                kit=kit, key=f"S{number:03d}", step_order=10 * number, zone=position.zone, kind="fit",
                text=f"{opens}Fit {{position:{position.number}}} and tighten it.", minutes_min=15.0, tool="spanner 13",
            )  # fmt: skip
            steps.append(step)
            fits.append(StepFits(step=step, position=position))
        for number, kind in enumerate(LAST_STEPS, len(own) + 1):
            step = KitStep(
                kit=kit, key=f"S{number:03d}", step_order=10 * number, zone="engine bay", kind=kind,
                text=f"{kind.capitalize()}: {{charge}}, {{oil}}.", minutes_min=45.0, hold_point=True,
            )  # fmt: skip
            steps.append(step)
            readings.append(
                ReadingSpec(step=step, number=1, name=kind, unit="bar g", low=Decimal(1), high=Decimal(20))
            )
        for number, option in enumerate(random.sample(list(cars.options.values()), 4), 1):
            step = KitStep(
                kit=kit, key=f"R{number:03d}", step_order=1, zone="cabin floor", kind="remove",
                text=f"Take out what a car with {option.name} has in the way.", minutes_min=20.0,
            )  # fmt: skip
            steps.append(step)
            terms.append(StepTerm(step=step, option=option))
    add(steps)
    add(fits)
    add(readings)
    add(terms)
