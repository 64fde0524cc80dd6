"""Electrics: what a conductor loses, which one and which fuse is enough, and what the generator has to spare."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from kits.bom.wire_checks import carries_a
from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array

DATA_FILE = Path(__file__).parent / "data" / "electrics.json"


@dataclass(frozen=True, kw_only=True)
class ElectricsConstants:
    """Values of the data file, each with its unit and source there."""

    resistance_20_mohm_m: dict[float, float]
    """by standard section in mm²"""
    copper_resistivity_20_ohm_mm2_m: float
    copper_temperature_coefficient_1_k: float
    surroundings_c: float
    conductor_limit_c: float
    allowed_drop_share: float
    plug_apart_share: float
    fuse_load_share: float
    fuse_ratings_a: tuple[float, ...]
    drive_effectiveness: float
    high_voltage_band_share: float


@cache
def electrics_constants() -> ElectricsConstants:
    """The data file, read once."""
    rows = json.loads(DATA_FILE.read_text(encoding="utf-8"))
    values = {name: row["value"] for name, row in rows.items() if name != "_"}
    resistance = {float(s): float(r) for s, r in values.pop("resistance_20_mohm_m").items()}
    ratings = tuple(float(a) for a in values.pop("fuse_ratings_a"))
    numbers = {name: float(value) for name, value in values.items()}
    return ElectricsConstants(resistance_20_mohm_m=resistance, fuse_ratings_a=ratings, **numbers)


def temperature_factor(conductor_c: ArrayLike) -> FloatArray:
    """How much more a copper conductor resists than at 20 °C.

    Formula: 1 + 0.00393·(T − 20).
    Parameters: conductor_c, the conductor's own temperature in °C, −60 to 200.
    Returns: factor.
    Validity: annealed copper; linear within 0.2 % over the range.
    Source: IEC 60028.
    Check: 1.1572, 1.2555 and 1.3341 at 60, 85 and 105 °C.
    """
    t = floats(conductor_c)
    factor = 1 + electrics_constants().copper_temperature_coefficient_1_k * (t - 20)
    return answer(factor, (t >= -60) & (t <= 200), "A conductor's temperature lies between −60 and 200 °C.")


def resistance_ohm(section_mm2: ArrayLike, length_m: ArrayLike, conductor_c: ArrayLike = 20.0) -> FloatArray:
    """Resistance of a copper wire at its temperature.

    Formula: R = R₂₀·L·(1 + α·(T − 20)); R₂₀ is the standard's largest for a standard section, else ρ₂₀/A.
    Parameters: section_mm2, above zero; length_m, not negative; conductor_c in °C.
    Returns: Ω.
    Validity: plain copper. A section between the standard ones (old looms have 2, 3, 4.5 mm²) counts as solid
    copper of that area; a stranded wire of the name may have up to 15 % more.
    Source: IEC 60228 class 5; IEC 60028 for ρ and α.
    Check: 10 to 16 % above solid copper, up to 6 % above ISO 6722-1; American wire gauges by their area; Grob, Basic
    Electronics, example 11-3.
    """
    c = electrics_constants()
    section, length = floats(section_mm2), floats(length_m)
    with np.errstate(divide="ignore", invalid="ignore"):
        per_m = c.copper_resistivity_20_ohm_mm2_m / section
    for standard, mohm in c.resistance_20_mohm_m.items():
        per_m = np.where(np.isclose(section, standard, rtol=1e-9, atol=0), mohm / 1000, per_m)
    valid = (section > 0) & np.isfinite(section) & (length >= 0) & np.isfinite(length)
    value = per_m * length * temperature_factor(conductor_c)
    return answer(value, valid, "A wire has a section above zero and a length that is not negative.")


def largest_current_a(section_mm2: ArrayLike) -> FloatArray:
    """The largest lasting current, and so the largest fuse, of a wire; NaN below the smallest section.

    Formula: table; between two sections the smaller one counts.
    Parameters: section_mm2 of the conductor.
    Returns: A.
    Validity: copper in a bundle under the bonnet.
    Source: the one table of largest fuses (kits/bom/data/wires.json), common practice, from memory.
    Check: rises with the section.
    """
    sections = floats(section_mm2)
    found = [_largest_a(float(section)) for section in sections.ravel()]
    return floats(np.reshape(found, sections.shape))[()]


@cache
def _largest_a(section_mm2: float) -> float:
    limit = carries_a(section_mm2)
    return np.nan if limit is None else limit


def conductor_temperature_c(current_a: ArrayLike, section_mm2: ArrayLike) -> FloatArray:
    """Temperature of a conductor that carries its current for long.

    Formula: T = T_s + (T_max − T_s)·(I/I_max)²; heat goes with the square of the current.
    Parameters: current_a, not negative; section_mm2, not below the smallest of the table.
    Returns: °C; above the wire's limit where it carries more than it may.
    Validity: 60 °C around the bundle and 105 °C at the largest current, as the table of largest currents has it;
    the growth of resistance with temperature is left out.
    Source: heat balance, common practice; values of data/electrics.json.
    Check: 60 °C without current, 105 °C at the largest.
    """
    c = electrics_constants()
    current, largest = floats(current_a), floats(largest_current_a(section_mm2))
    valid = (current >= 0) & np.isfinite(current) & np.isfinite(largest)
    value = c.surroundings_c + (c.conductor_limit_c - c.surroundings_c) * (current / largest) ** 2
    sentence = (
        "A wire's temperature needs a current not negative and a section not below the smallest in use."
    )
    return answer(value, valid, sentence)


def voltage_drop_v(current_a: ArrayLike, section_mm2: ArrayLike, length_m: ArrayLike) -> FloatArray:
    """What a wire loses of the voltage when its conductor has warmed up.

    Formula: U = I·R(T), with the conductor's temperature T at this current.
    Parameters: current_a, not negative; section_mm2, at least the smallest in use; length_m, one way. A conductor
    that its current would heat beyond 200 °C is refused.
    Returns: V.
    Validity: the wire alone: terminals and switches add 10 to 50 mV each.
    Source: Ohm's law.
    Check: resistance and temperature each by their own.
    """
    warm = np.asarray(conductor_temperature_c(current_a, section_mm2))
    return scalar_or_array(floats(current_a) * resistance_ohm(section_mm2, length_m, warm[()]))


def smallest_section_mm2(current_a: ArrayLike, length_m: ArrayLike, allowed_drop_v: ArrayLike) -> FloatArray:
    """The smallest standard section that bears a current and loses no more than is allowed.

    Formula: the first of the standard sections with I ≤ I_max and I·R(T) ≤ allowed drop.
    Parameters: current_a, not negative; length_m, not negative; allowed_drop_v, above zero.
    Returns: mm². Where even the largest standard section is too thin, a scalar raises and a row is NaN.
    Validity: 0.35 to 25 mm², as voltage_drop_v.
    Source: IEC 60228 sections.
    Check: the next smaller section loses more or bears less.
    """
    current, length, allowed = np.broadcast_arrays(
        floats(current_a), floats(length_m), floats(allowed_drop_v)
    )
    valid = (current >= 0) & np.isfinite(current) & (length >= 0) & np.isfinite(length) & (allowed > 0)
    sections = np.array(sorted(electrics_constants().resistance_20_mohm_m))
    along = sections.reshape(-1, *[1] * current.ndim)
    bears = valid & (current <= largest_current_a(along))
    drops = voltage_drop_v(np.where(bears, current, 0.0), along, np.where(valid, length, 0.0))
    enough = bears & (drops <= allowed)
    found = np.where(enough.any(axis=0), sections[np.argmax(enough, axis=0)], np.nan)
    sentence = (
        "No standard section up to 25 mm² bears this current with so small a loss; a current and a length are "
        "not negative and an allowed loss is above zero."
    )
    return answer(found, np.isfinite(found), sentence)


def protecting_fuse_a(current_a: ArrayLike, section_mm2: ArrayLike) -> FloatArray:
    """The smallest fuse that lasts under a current and still protects the wire.

    Formula: the first standard rating at least I/0.8 and at most the largest fuse of the section.
    Parameters: current_a, lasting, not negative; section_mm2 of the thinnest wire behind the fuse.
    Returns: A. Where no rating does both, a scalar raises and a row is NaN: the wire is too thin for its current.
    Validity: lasting currents; a fan's start or a lamp's inrush may ask for one rating more.
    Source: ratings from memory of ISO 8820-3; 80 %: common practice; table of largest fuses.
    Check: never above the section's largest fuse, never below the current.
    """
    c = electrics_constants()
    current, largest = np.broadcast_arrays(floats(current_a), floats(largest_current_a(section_mm2)))
    ratings = np.array(sorted(c.fuse_ratings_a))
    along = ratings.reshape(-1, *[1] * current.ndim)
    fits = (current >= 0) & (along * c.fuse_load_share >= current) & (along <= largest)
    found = np.where(fits.any(axis=0), ratings[np.argmax(fits, axis=0)], np.nan)
    sentence = "No standard fuse both lasts under this current and protects this wire."
    return answer(found, np.isfinite(found), sentence)


def spare_current_a(generator_a: ArrayLike, car_loads_a: ArrayLike, kit_a: ArrayLike) -> FloatArray:
    """What the generator gives more than car and kit take; negative comes from the battery.

    Formula: generator − loads of the car − kit.
    Parameters: generator_a at the engine's speed, car_loads_a, kit_a: mean currents, not negative.
    Returns: A.
    Validity: everything that the case names on at once; the generator as hot as it was when its curve was taken.
    Source: balance of currents.
    Check: by hand.
    """
    given = [floats(generator_a), floats(car_loads_a), floats(kit_a)]
    valid = np.logical_and.reduce([(a >= 0) & np.isfinite(a) for a in np.broadcast_arrays(*given)])
    return answer(given[0] - given[1] - given[2], valid, "Currents in a budget are not negative.")


def high_voltage_current_a(shaft_power_w: ArrayLike, voltage_v: ArrayLike) -> FloatArray:
    """Current that an electric compressor takes from the high-voltage battery.

    Formula: I = P/(η·U), with the effectiveness η of motor and inverter.
    Parameters: shaft_power_w that the compression takes, not negative; voltage_v of the battery, above zero.
    Returns: A.
    Validity: steady; a battery low in charge has less voltage and gives more current.
    Source: balance of power; η from memory, data/electrics.json.
    Check: by hand.
    """
    power, volts = floats(shaft_power_w), floats(voltage_v)
    with np.errstate(divide="ignore", invalid="ignore"):
        current = power / (electrics_constants().drive_effectiveness * volts)
    valid = (power >= 0) & np.isfinite(power) & (volts > 0) & np.isfinite(volts)
    return answer(current, valid, "A current needs a power not negative and a voltage above zero.")
