"""The same plant with other gases, side by side: a study, since a gas is not a change that one makes alone.

Nothing but the gas is changed: the compressor keeps its fitted efficiencies, the coils their conductances, the
hoses their bores, the switches their settings. What else a gas asks for is said in `CHANGES_WITH_IT`.
"""

from dataclasses import dataclass, replace

from kits.sizing.case.case import Case
from kits.sizing.gas.gases import is_refused_in_cabin_air, lower_flammable_limit_kg_m3
from kits.sizing.study.study import duties_of
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value
from vehicles.physics.quantities import format_number

GASES = ("R-134a", "R-1234yf", "R-152a")
CHANGES_WITH_IT = (
    "A study. A gas is not a change one makes alone: valve, oil, ports, hoses and the coil’s approval change "
    "with it."
)


@dataclass(frozen=True)
class GasStudy:
    """A plant with one gas at the required duty points.

    refused   why no kit is built with this gas and a coil in the cabin's air; "" where it may be
    burns     what is known of its burning; "" for a gas that does not burn in air
    """

    gas: str
    is_own: bool
    refused: str
    burns: str
    duties: tuple[DutyAnswer, ...]


def compare_gases(case: Case) -> tuple[GasStudy, ...]:
    """The plant with each gas at its required duty points; the kit's own gas gives the sizing's own answers."""
    required = [duty for duty in duties_of(case) if duty.required]
    return tuple(
        GasStudy(
            gas,
            gas == case.plant.refrigerant,
            _refused(gas),
            _burns(gas, case.car.cabin.volume_m3),
            answers_at(with_gas(case, gas), required, with_holds=False),
        )
        for gas in GASES
    )


def with_gas(case: Case, gas: str) -> Case:
    """The case with another gas and nothing else changed. Raises ValueError for a gas that is not studied."""
    if gas not in GASES:
        raise ValueError(f"{gas} is not studied; the gases are {', '.join(GASES)}.")
    return replace(case, unit=replace(case.plant, refrigerant=gas))


def _refused(gas: str) -> str:
    if not is_refused_in_cabin_air(gas):
        return ""
    return f"{gas} burns readily: with the coil in the cabin’s air it is refused as a kit, whatever it would give."


def _burns(gas: str, cabin_m3: float | None) -> str:
    limit = lower_flammable_limit_kg_m3(gas)
    if limit is None:
        return ""
    said = f"{gas} burns in air from {format_number(limit, 3)} kg/m³ (limit from memory)."
    if not cabin_m3:
        return said
    share = default_value("flammable_share_found")
    grams = share * limit * cabin_m3 * 1000
    most = f"{format_number(grams, 0)} g makes {100 * share:.0f} % of that in this cabin"
    return f"{said} A charge of {most}, from which it is a finding."
