"""Model lines with features, cabins, powertrains and variants, one per combination of options."""

from dataclasses import dataclass
from datetime import date
from itertools import product
from random import Random
from typing import Any

from tests.generator.rows import SURVEY, add
from vehicles.models import (
    Cabin,
    CabinLeakage,
    ChargingPoint,
    ChassisRange,
    CoolantState,
    DutyPoint,
    DutySet,
    DutySetPoint,
    ElectricalLoad,
    EngineTemperature,
    Feature,
    LineFeature,
    LineOption,
    ModelLine,
    Opening,
    Option,
    Powertrain,
    Seat,
    Surface,
    SurfaceTerm,
    Variant,
    VariantOption,
)

MAKES = ("Orlock", "Solenne", "Morva")
SERIES = {"Orlock": "V", "Solenne": "S", "Morva": ""}
FEATURES = {
    "steering": ("left", "right"),
    "roof": ("steel", "canvas"),
    "engine": ("1.4 petrol", "1.8 petrol", "diesel", "electric"),
    "supply": ("6v", "12v"),
    "body": ("saloon", "pick-up", "coach"),
    "heater": ("dealer", "none"),
}
SURFACES = (
    ("SCREEN", "Windscreen", "glass", "outside", 0.75, 32.0, 0.0),
    ("SIDE-L", "Side glass left", "glass", "outside", 0.45, 85.0, 270.0),
    ("SIDE-R", "Side glass right", "glass", "outside", 0.45, 85.0, 90.0),
    ("REAR", "Rear glass", "glass", "outside", 0.45, 70.0, 180.0),
    ("ROOF", "Steel roof", "opaque", "outside", 2.1, 3.0, 0.0),
    ("TOP", "Canvas top", "canvas", "outside", 2.1, 3.0, 0.0),
    ("BULKHEAD", "Bulkhead", "opaque", "bulkhead", 1.0, 90.0, 0.0),
    ("FLOOR", "Floor", "opaque", "floor", 2.4, 180.0, 0.0),
)
DUTIES = (
    ("CRUISE", "cruise", "cruise", 80.0, True),
    ("TOWN", "town", "cruise", 30.0, True),
    ("IDLE", "idle", "idle", 0.0, True),
    ("CRUISE-HOT", "cruise", "cruise", 80.0, False),
)
CATEGORY = {"saloon": "M1", "pick-up": "N1 class I", "coach": "M1"}


@dataclass(frozen=True)
class Cars:
    """What was made; the options by (feature, option)."""

    lines: list[Any]
    options: dict[tuple[str, str], Any]
    variants: list[Any]
    duty_set: Any


def make_cars(random: Random, variants: int, lines: int) -> Cars:
    """Lines, each with an even share of the variants."""
    options = _options()
    made = add([_line(i) for i in range(lines)])
    features = list(dict.fromkeys(option.feature for option in options.values()))
    add([LineFeature(line=line, feature=f, sort=f.sort) for line in made for f in features])
    add([LineOption(line=line, option=option) for line in made for option in options.values()])
    cabins = {(c.line_id, c.name.split()[-1]): c for c in _cabins(made, options)}
    powers = {(p.line_id, p.name): p for p in _powertrains(random, made)}
    rows, held = [], []
    for i, line in enumerate(made):
        combinations = random.sample(list(product(*FEATURES.values())), _share(variants, lines, i))
        for number, combination in enumerate(sorted(combinations)):
            car = dict(zip(FEATURES, combination, strict=True))
            power = powers[line.pk, f"{car['engine']}, {car['supply']}"]
            rows.append(_variant(random, line, number, car, cabins[line.pk, car["body"]], power))
            held.append(car)
    add(rows)
    add(
        [
            VariantOption(variant=row, feature=options[pair].feature, option=options[pair])
            for row, car in zip(rows, held, strict=True)
            for pair in car.items()
        ]
    )
    add([ChassisRange(variant=row, prefix=f"{row.line.code}-{row.code}-", first=1, last=400) for row in rows])
    return Cars(made, options, rows, _duty_set())


def _share(count: int, shares: int, index: int) -> int:
    return count // shares + (index < count % shares)


def _options() -> dict[tuple[str, str], Any]:
    features = add([Feature(code=code, name=code.capitalize(), sort=i) for i, code in enumerate(FEATURES)])
    rows = [
        Option(feature=feature, code=code, name=f"{feature.code} {code}", sort=i)
        for feature in features
        for i, code in enumerate(FEATURES[feature.code])
    ]
    return {(row.feature.code, row.code): row for row in add(rows)}


def _line(index: int) -> ModelLine:
    make = MAKES[index % len(MAKES)]
    model = f"{SERIES[make]}{30 + 10 * (index // len(MAKES)) + index % 7}"
    return ModelLine(code=f"{make[:2].upper()}{model}", name=f"{make} {model}", maker=make)


def _variant(random: Random, line: Any, number: int, car: dict[str, str], cabin: Any, power: Any) -> Variant:
    begun = 1957 + random.randrange(20)
    words = f"{line.name} {car['body']}, {car['engine']}, {car['roof']} roof, {car['steering']}-hand drive"
    if number % 40 == 7:
        words += ", with the long wheelbase, the second tank, the tropical radiator and the export fittings"
    surveyed = {"to_be_surveyed": number % 11 == 3}
    return Variant(
        line=line, code=f"{car['body'][0].upper()}{number:03d}", name=words[:160], cabin=cabin, powertrain=power,
        built_from=date(begun, 1, 1) if number % 9 else None, built_until=date(begun + 6, 7, 1),
        vehicle_category=CATEGORY[car["body"]], reference_mass_kg=900.0 + random.randrange(900), **surveyed,
    )  # fmt: skip


def _cabins(lines: list[Any], options: dict[tuple[str, str], Any]) -> list[Any]:
    cabins = add(
        [
            Cabin(
                line=line, code=f"CAB-{body[:3].upper()}", name=f"{line.name} {body}", volume_m3=2.2 + size,
                intake_rise_k=2.0, flap_leak_share=0.05, fresh_air_m3_h=200.0, duct_gain_w_k=3.0,
                matrix_leak_w=60.0, **SURVEY,
            )
            for line in lines
            for size, body in enumerate(FEATURES["body"])
        ]
    )  # fmt: skip
    add(
        [
            CabinLeakage(cabin=c, road_speed_km_h=speed, leakage_m3_h=leak, **SURVEY)
            for c in cabins
            for speed, leak in ((0.0, 15.0), (50.0, 55.0), (100.0, 110.0))
        ]
    )
    seats = (("1", "driver"), ("2", "passenger"))
    add([Seat(cabin=c, code=code, activity=activity, **SURVEY) for c in cabins for code, activity in seats])
    add([Opening(cabin=c, code="DOOR", name="Door", area_m2=0.9, height_m=1.1, **SURVEY) for c in cabins])
    surfaces = add(
        [
            Surface(
                cabin=cabin, code=code, name=name, kind=kind, boundary=boundary, area_m2=area, tilt_deg=tilt,
                facing_deg=facing, u_w_m2k=5.6 if kind == "glass" else 3.0,
                absorptance=0.1 if kind == "glass" else 0.6, transmittance=0.8 if kind == "glass" else 0.0,
                inward_share=0.3, **SURVEY,
            )
            for cabin in cabins
            for code, name, kind, boundary, area, tilt, facing in SURFACES
        ]
    )  # fmt: skip
    roofs = {"ROOF": options["roof", "steel"], "TOP": options["roof", "canvas"]}
    add([SurfaceTerm(surface=s, option=roofs[s.code]) for s in surfaces if s.code in roofs])
    return cabins


def _powertrains(random: Random, lines: list[Any]) -> list[Any]:
    powers = add(
        [
            Powertrain(
                line=line, code=f"P{number}", name=f"{engine}, {supply}",
                drive="electric" if engine == "electric" else "combustion",
                hot_idle_rpm=None if number == 5 else 700.0 + 10 * random.randrange(15), engine_rpm_per_km_h=38.0,
                crank_pulley_mm=150.0, system_voltage_v=float(supply[:-1]), battery_ah=60.0, coolant_limit_c=108.0,
                generator_kind="converter" if engine == "electric" else "dynamo" if supply == "6v" else "alternator",
                **SURVEY,
            )
            for line in lines
            for number, (engine, supply) in enumerate(product(FEATURES["engine"], FEATURES["supply"]))
        ]
    )  # fmt: skip
    curve = ((700.0, 8.0), (1200.0, 22.0), (2000.0, 38.0), (4000.0, 45.0))
    add([ChargingPoint(powertrain=p, engine_rpm=n, current_a=a, **SURVEY) for p in powers for n, a in curve])
    loads = (("IGN", "Ignition", 4.0), ("LAMP", "Lamps", 12.0), ("WIPE", "Wipers", 5.0))
    add(
        [
            ElectricalLoad(powertrain=p, code=c, name=n, current_a=a, by_day=c == "IGN", **SURVEY)
            for p in powers
            for c, n, a in loads
        ]
    )
    behind = (("bulkhead", 62.0), ("floor", 48.0), ("tunnel", 52.0))
    states = (("idle", 8.0), ("cruise", 0.0))
    add(
        [
            EngineTemperature(powertrain=p, engine_state=s, boundary=b, temperature_c=c + more, **SURVEY)
            for p in powers
            for s, more in states
            for b, c in behind
        ]
    )
    add(
        [
            CoolantState(
                powertrain=p, engine_state=s, coolant_c=88.0 + more, coolant_flow_l_min=8.0, **SURVEY
            )
            for p in powers
            for s, more in states
        ]
    )
    return powers


def _duty_set() -> Any:
    points = add(
        [
            DutyPoint(
                code=code, name=code.capitalize().replace("-", ", "), kind=kind, outside_c=35.0, relative_humidity=0.4,
                beam_normal_w_m2=800.0, diffuse_horizontal_w_m2=120.0, sun_altitude_deg=60.0, road_speed_km_h=speed,
                engine_state=state, occupants=2, air_mode="recirculated", target_c=25.0, **SURVEY,
            )
            for code, kind, state, speed, _ in DUTIES
        ]
    )  # fmt: skip
    duty_set = add([DutySet(code="HOT", name="Hot and dry")])[0]
    required = [r for *_, r in DUTIES]
    add(
        [
            DutySetPoint(duty_set=duty_set, duty_point=point, required=needed)
            for point, needed in zip(points, required, strict=True)
        ]
    )
    return duty_set
