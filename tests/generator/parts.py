"""Parts with revisions, ports, technical data and assemblies three deep."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from random import Random
from typing import Any

from django.apps import apps

from kits.models import Part, PartRevision, Port, StructureEdge
from kits.parts.data_models import TECHNICAL_DATA
from tests.generator.rows import SOURCE, add

# kind -> share of all parts, per mille
KINDS = {
    "compressor": 8, "evaporator": 8, "condenser": 10, "condenser fan": 10, "blower": 8, "duct": 30, "vent": 30,
    "expansion valve": 8, "receiver-drier": 8, "pressure switch": 8, "hose": 6, "hose end": 40, "harness": 60,
    "assembly": 90, "bracket": 190, "O-ring": 30, "connector": 60, "insulation": 40, "trim": 110, "label": 30,
    "consumable": 30, "fastener": 186,
}  # fmt: skip
SIZES = ("#6", "#8", "#10", "#12")
BORES = {"#6": 8.0, "#8": 10.3, "#10": 12.7, "#12": 15.9}
PLACES = ("left", "right", "upper", "lower", "front", "rear", "inner", "outer")
DATA: dict[str, dict[str, Any]] = {
    "compressor": {"displacement_cc": 146.0, "speed_min_rpm": 600.0, "speed_max_rpm": 6500.0, "pulley_mm": 120.0},
    "evaporator": {"rated_airflow_m3_h": 320.0, "wet_drop_pa": 120.0},
    "condenser": {"face_area_m2": 0.18},
    "condenser fan": {"free_airflow_m3_h": 1650.0, "current_a": 9.0},
    "blower": {"rated_voltage_v": 13.5, "power_w": 190.0, "current_a": 14.0},
    "duct": {"diameter_mm": 60.0, "length_m": 0.8},
    "vent": {"free_area_cm2": 30.0},
    "expansion valve": {"nominal_capacity_w": 5300.0},
    "receiver-drier": {"upright": True},
    "pressure switch": {"low_cut_out_bar_g": 2.0, "fan_on_bar_g": 15.0, "high_cut_out_bar_g": 28.0},
}  # fmt: skip
SIDE_OF = {"#6": "liquid", "#8": "discharge", "#10": "suction", "#12": "suction"}
PORTS = {
    "compressor": (("D", "discharge", "#8"), ("S", "suction", "#10")),
    "condenser": (("IN", "discharge", "#8"), ("OUT", "liquid", "#6")),
    "receiver-drier": (("IN", "liquid", "#6"), ("OUT", "liquid", "#6")),
    "evaporator": (("IN", "liquid", "#6"), ("OUT", "suction", "#10")),
}
POINTS: dict[str, tuple[str, tuple[dict[str, float], ...]]] = {
    "compressor": (
        "CompressorPoint",
        tuple(
            {"speed_rpm": n, "pressure_ratio": r, "volumetric_effectiveness": v - r / 20, "isentropic_effectiveness": i}
            for n, v, i in ((800.0, 0.85, 0.55), (2000.0, 0.90, 0.62), (4500.0, 0.82, 0.52))
            for r in (3.0, 5.0, 6.5)
        ),
    ),
    "evaporator": (
        "EvaporatorPoint",
        tuple(
            {"airflow_m3_h": m, "air_in_c": 27.0, "relative_humidity": 0.5, "evaporating_c": 2.5, "total_w": q}
            for m, q in ((200.0, 2500.0), (320.0, 3500.0), (550.0, 5700.0))
        ),
    ),
    "condenser": (
        "CondenserPoint",
        tuple(
            {"airflow_m3_h": m, "air_in_c": 35.0, "condensing_c": 60.0, "heat_w": q}
            for m, q in ((1100.0, 5400.0), (1800.0, 7900.0), (2500.0, 10000.0))
        ),
    ),
    "blower": (
        "BlowerPoint",
        tuple(
            {"airflow_m3_h": m, "static_pa": p}
            for m, p in ((0.0, 420.0), (150.0, 390.0), (300.0, 290.0), (400.0, 180.0), (520.0, 0.0))
        ),
    ),
}  # fmt: skip
RENEWED = date(2025, 1, 1)


@dataclass(frozen=True)
class Parts:
    """What was made, by kind, and the revision in force of each part's key."""

    by_kind: dict[str, list[Any]]
    current: dict[int, Any]


def make_parts(random: Random, count: int) -> Parts:
    """Parts of every kind a kit needs."""
    rows = add([_part(random, kind, number) for number, kind in enumerate(_kinds(count))])
    by_kind: dict[str, list[Any]] = {}
    for row in rows:
        by_kind.setdefault(row.kind, []).append(row)
    revisions = add([r for row in rows for r in _revisions(random, row)])
    current = {r.part_id: r for r in revisions if r.maturity in ("released", "trial")}
    add([port for r in revisions for port in _ports(r)])
    _data(random, revisions)
    _structure(random, by_kind, current)
    return Parts(by_kind, current)


def _kinds(count: int) -> list[str]:
    kinds = [kind for kind, share in KINDS.items() for _ in range(max(4, count * share // 1000))]
    return kinds[:count] + ["fastener"] * (count - len(kinds))


def _part(random: Random, kind: str, number: int) -> Part:
    name = f"{kind.capitalize()} {random.choice(PLACES)} {number % 97}"
    if number % 60 == 11:
        name += (
            " with the reinforced flange, for cars with the second tank and the tropical radiator, painted"
        )
    made = kind in ("assembly", "harness", "bracket")
    unit = {"hose": "m", "consumable": "set"}.get(kind, "pc")
    return Part(number=f"BM{number:05d}", name=name, kind=kind, unit=unit, supply="make" if made else "buy")


def _revisions(random: Random, part: Any) -> Iterator[PartRevision]:
    first = {"mass_g": 10.0 + random.randrange(4000), "inner_volume_ml": 200.0, **SOURCE}
    if random.random() < 0.3:
        yield PartRevision(part=part, revision="A", maturity="withdrawn", in_force_until=RENEWED, **first)
        yield PartRevision(part=part, revision="B", maturity="released", in_force_from=RENEWED, **first)
    else:
        yield PartRevision(
            part=part, revision="A", maturity="trial" if random.random() < 0.03 else "released", **first
        )
    if random.random() < 0.05:
        yield PartRevision(
            part=part, revision="C", maturity="prototype", in_force_from=date(2099, 1, 1), **first
        )


def _size_of(part: Any) -> str:
    return SIZES[int(part.number[2:]) % len(SIZES)]


def _ports(revision: Any) -> Iterator[Port]:
    part = revision.part
    for code, role, size in PORTS.get(part.kind, ()):
        yield Port(
            revision=revision, code=code, role=role, form="O-ring thread", size=size, gender="male",
            material="aluminium",
        )  # fmt: skip
    if part.kind == "hose end":
        yield Port(
            revision=revision, code="P", role=SIDE_OF[_size_of(part)], form="O-ring thread", size=_size_of(part),
            gender="female", material="aluminium",
        )  # fmt: skip


def _data(random: Random, revisions: list[Any]) -> None:
    for kind, values in DATA.items():
        model = PartRevision._meta.get_field(TECHNICAL_DATA[kind]).related_model
        rows = add([model(revision=r, **values, **SOURCE) for r in revisions if r.part.kind == kind])
        if kind in POINTS:
            name, points = POINTS[kind]
            point = apps.get_model("kits", name)
            add([point(data=row, **p, **SOURCE) for row in rows for p in points])
    hose = PartRevision._meta.get_field("hose_data").related_model
    end = PartRevision._meta.get_field("hose_end_data").related_model
    hoses = [r for r in revisions if r.part.kind == "hose"]
    ends = [r for r in revisions if r.part.kind == "hose end"]
    add(
        [
            hose(
                revision=r, size=_size_of(r.part), bore_mm=BORES[_size_of(r.part)], wall_family="thin",
                bend_radius_mm=75.0, **SOURCE,
            )
            for r in hoses
        ]
    )  # fmt: skip
    add(
        [
            end(
                revision=r, size=_size_of(r.part), adds_mm=30.0 + random.randrange(30), ferrule_family="thin",
                angle_deg=random.choice((0.0, 45.0, 90.0)), **SOURCE,
            )
            for r in ends
        ]
    )  # fmt: skip


def _structure(random: Random, by_kind: dict[str, list[Any]], current: dict[int, Any]) -> None:
    """Assemblies in three tiers: each holds small parts, and the upper two an assembly of the next tier."""
    assemblies = by_kind["assembly"]
    tier = max(1, len(assemblies) // 3)
    small = by_kind["fastener"] + by_kind["bracket"] + by_kind["connector"] + by_kind["insulation"]
    units = list(zip(by_kind["evaporator"], by_kind["blower"], by_kind["expansion valve"], strict=False))
    edges = []
    for index, assembly in enumerate(assemblies):
        children = random.sample(small, 5)
        if index < tier:
            # the first tier are coil units: what cools and blows sits in them
            children += units[index % len(units)]
        if index + tier < len(assemblies) and index < 2 * tier:
            children.append(assemblies[index + tier])
        edges += [
            StructureEdge(
                parent=current[assembly.pk], number=10 * n, child=c, quantity=Decimal(random.randint(1, 4))
            )
            for n, c in enumerate(children, 1)
        ]
    add(edges)
