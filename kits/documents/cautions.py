"""General cautions: what is printed on each checklist and report, as far as it concerns the kit and the car."""

from dataclasses import dataclass
from datetime import date

from kits.bom.gas_safety import burns
from kits.documents.source import CarFacts, DocumentSource
from kits.sizing.gas.gases import high_voltage_from_v

AIRBAGS_FROM = date(1980, 1, 1)
"""Common practice, no source: cars built before have neither airbags nor belt tensioners that fire."""


@dataclass(frozen=True)
class Facts:
    """What of a kit and its car decides which cautions concern it. None: not known."""

    has_refrigerant: bool | None = None
    gas_burns: bool | None = None
    has_wiring: bool | None = None
    has_airbags: bool | None = None
    has_engine: bool | None = None
    has_high_voltage: bool | None = None


@dataclass(frozen=True)
class Caution:
    """A sentence and the facts it needs, by name. It is left out only where one of them is known not to be so."""

    sentence: str
    needs: tuple[str, ...] = ()

    def concerns(self, facts: Facts) -> bool:
        """Whether it is to be printed."""
        return all(getattr(facts, name) is not False for name in self.needs)


GENERAL = (
    Caution(
        "The law where you work, and what the makers of the car and of the parts say, come before this sheet."
    ),
    Caution(
        "Only people who hold the licence the law asks for may open, fill or empty a refrigerant circuit. "
        "Recover the gas; never let it out into the air.",
        ("has_refrigerant",),
    ),
    Caution(
        "Refrigerant stands under pressure, freezes skin and eyes, and takes the place of the air you breathe. "
        "Goggles and gloves on, doors open, no flame, nobody alone in a pit.",
        ("has_refrigerant",),
    ),
    Caution(
        "The gas burns: no flame, no spark and no hot surface where it may collect; air the place at the floor, "
        "and take a station and a leak finder that are made for it.",
        ("has_refrigerant", "gas_burns"),
    ),
    Caution(
        "While the engine runs: exhaust led out of the hall, brake on, out of gear, wheels chocked. The cap of hot "
        "coolant stays shut.",
        ("has_engine",),
    ),
    Caution(
        "While an electric car is ready to drive: brake on, selector in neutral, wheels chocked, nobody under it.",
        ("has_high_voltage",),
    ),
    Caution(
        "Test with dry nitrogen through a regulator. Never use oxygen or shop air. No charge before the pressure "
        "test and the vacuum have been passed.",
        ("has_refrigerant",),
    ),
    Caution("Take the battery off before any wiring.", ("has_wiring",)),
    Caution("Mind the airbags and belt tensioners where the car has them.", ("has_airbags",)),
    Caution("Coolant, exhaust and engine are hot; keep hands, hair and sleeves from belts.", ("has_engine",)),
    Caution("Fans and pumps may start by themselves: keep hands, hair and sleeves away from them."),
    Caution(
        "High voltage: only qualified people, after it was switched off, locked and measured to be off.",
        ("has_high_voltage",),
    ),
    Caution(
        "A compressor at high voltage takes ester oil only: no hoses, gauges or stations that have seen another oil.",
        ("has_high_voltage", "has_refrigerant"),
    ),
    Caution("Predicted figures are estimates until a trial has confirmed them."),
)
"""In the order in which they are printed."""


def cautions_of(source: DocumentSource) -> tuple[str, ...]:
    """The general cautions that concern a fitment."""
    facts = facts_of(source)
    return tuple(caution.sentence for caution in GENERAL if caution.concerns(facts))


def facts_of(source: DocumentSource) -> Facts:
    """What decides, as far as kit and car tell it."""
    kit, car = source.kit, source.car
    is_old = car.built_until is not None and car.built_until < AIRBAGS_FROM
    return Facts(
        has_refrigerant=not kit.heats_only,
        gas_burns=burns(source.gas),
        has_wiring=bool(kit.wires) or any(step.kind == "wire" for step in kit.steps),
        has_airbags=False if is_old else None,
        has_engine=car.has_engine,
        has_high_voltage=_high_voltage(source),
    )


def _high_voltage(source: DocumentSource) -> bool | None:
    """Whether the car's drive or the kit's compressor is at a voltage that kills; None where either is not known."""
    limit_v = high_voltage_from_v()
    parts = (_drive(source.car, limit_v), _compressor(source, limit_v))
    if any(parts):
        return True
    return None if None in parts else False


def _drive(car: CarFacts, limit_v: float) -> bool | None:
    if car.high_voltage_v is not None:
        return car.high_voltage_v > limit_v
    return False if car.has_engine else None


def _compressor(source: DocumentSource, limit_v: float) -> bool | None:
    if source.kit.heats_only:
        return False
    found = source.kit.plant.get("compressor")
    if found is None:
        return None
    if not found.data.get("electric"):
        return False
    supply_v = found.data.get("supply_voltage_v")
    return None if supply_v is None else float(supply_v) > limit_v
