"""The one table of quantities: what the ending of a name means, how it is labelled and how it is shown.

Names carry their unit (`glass_area_m2`, `charge_g`). Forms, columns, workbook heads, documents and the
glossary read unit and decimals here, so the same number looks the same everywhere.
"""

import math
from dataclasses import dataclass
from decimal import Decimal

Number = float | int | Decimal

MOST_TOLD_APART = 9.0


@dataclass(frozen=True)
class Quantity:
    """One quantity: `key` is the ending of the name, `unit` the text shown to people."""

    key: str
    label: str
    unit: str
    decimals: int
    definition: str


QUANTITIES: tuple[Quantity, ...] = (
    Quantity("mm", "length", "mm", 0, "Length in millimetres, for parts and hoses."),
    Quantity("m", "length", "m", 2, "Length in metres, for cars and runs."),
    Quantity("mm2", "cross-section", "mm²", 2, "Cross-section of a conductor."),
    Quantity("cm2", "area", "cm²", 1, "Small area, such as of a vent."),
    Quantity("m2", "area", "m²", 2, "Area of a surface, an opening or a face."),
    Quantity("m3", "volume", "m³", 2, "Volume of a cabin or space."),
    Quantity("cc", "displacement", "cm³", 0, "Volume a compressor sweeps per revolution."),
    Quantity("ml", "volume", "ml", 0, "Small volume: oil, inner volume of a part."),
    Quantity("ml_m", "volume per length", "ml/m", 0, "Inner volume of a hose per metre."),
    Quantity("l", "volume", "l", 2, "Volume in litres."),
    Quantity("deg", "angle", "°", 0, "Angle: tilt, facing, clocking, sun altitude."),
    Quantity("c", "temperature", "°C", 1, "Temperature in degrees Celsius."),
    Quantity("k", "temperature difference", "K", 1, "Difference of two temperatures."),
    Quantity("w", "heat flow or power", "W", 0, "Heat flow, capacity or electrical power."),
    Quantity("kw", "heat flow or power", "kW", 1, "Heat flow or power as shown beside a verdict."),
    Quantity("w_m2", "irradiance", "W/m²", 0, "Heat flow on or through an area, such as sunshine."),
    Quantity("w_m2k", "heat transfer coefficient", "W/m²K", 2, "Heat flow per area and kelvin: U, film."),
    Quantity("w_mk", "thermal conductivity", "W/mK", 3, "Heat a material conducts per thickness and kelvin."),
    Quantity("w_k", "conductance", "W/K", 1, "Heat flow per kelvin: U times area."),
    Quantity("kj_kg", "specific enthalpy", "kJ/kg", 1, "Enthalpy per mass."),
    Quantity("j_kg", "specific enthalpy", "J/kg", 0, "Enthalpy per mass (air: per kg of dry air)."),
    Quantity("j_kgk", "specific heat", "J/kgK", 0, "Heat to warm one kilogram by one kelvin."),
    Quantity("kj_k", "heat capacity", "kJ/K", 0, "Heat to warm a body by one kelvin."),
    Quantity("kg", "mass", "kg", 2, "Mass."),
    Quantity("g", "mass", "g", 0, "Small mass, such as a refrigerant charge."),
    Quantity("g_m", "mass per length", "g/m", 0, "Mass per metre: a hose, or what it holds."),
    Quantity("kg_m3", "density", "kg/m³", 3, "Mass per volume."),
    Quantity("kg_s", "mass flow", "kg/s", 4, "Mass per second (air: dry air)."),
    Quantity("kg_h", "mass flow", "kg/h", 1, "Mass per hour, such as condensate."),
    Quantity("m3_h", "air flow", "m³/h", 0, "Volume of air per hour."),
    Quantity("m3_kg", "specific volume", "m³/kg", 3, "Volume per mass (air: per kg of dry air)."),
    Quantity("l_min", "flow", "l/min", 1, "Volume of liquid per minute."),
    Quantity("pa", "pressure", "Pa", 0, "Pressure; absolute unless the name says otherwise."),
    Quantity("bar_g", "gauge pressure", "bar g", 1, "Pressure above the surrounding air."),
    Quantity("bar", "pressure difference", "bar", 2, "Difference of two pressures."),
    Quantity("rpm", "speed of rotation", "rpm", 0, "Revolutions per minute."),
    Quantity("hz", "frequency", "Hz", 0, "Events per second."),
    Quantity("nm", "torque", "N·m", 1, "Torque."),
    Quantity("n", "force", "N", 0, "Force, such as belt pull."),
    Quantity("v", "voltage", "V", 1, "Electrical voltage."),
    Quantity("a", "current", "A", 1, "Electrical current."),
    Quantity("ah", "battery capacity", "Ah", 0, "Charge a battery gives."),
    Quantity("ohm", "resistance", "Ω", 3, "Electrical resistance."),
    Quantity("km_h", "road speed", "km/h", 0, "Speed of the car."),
    Quantity("m_s", "velocity", "m/s", 1, "Velocity, such as of air at a vent."),
    Quantity("s", "time", "s", 0, "Time in seconds."),
    Quantity("min", "time", "min", 0, "Time in minutes."),
    Quantity("h", "time", "h", 1, "Time in hours."),
    Quantity("d", "time", "d", 0, "Time in days."),
    Quantity("pct", "share", "%", 0, "Share in percent."),
    Quantity("kg_kg", "humidity ratio", "kg/kg", 4, "Water vapour per dry air."),
    Quantity("g_kg", "humidity ratio", "g/kg", 1, "Water vapour per dry air."),
)

DIMENSIONLESS = (
    "absorptance",
    "albedo",
    "amount",
    "coefficient",
    "cop",
    "count",
    "day",
    "effectiveness",
    "efficiency",
    "exponent",
    "factor",
    "first",
    "gwp",
    "humidity",
    "last",
    "month",
    "number",
    "occupants",
    "order",
    "poles",
    "price",
    "quantity",
    "rank",
    "ratio",
    "reflectance",
    "rh",
    "share",
    "sort",
    "stamp",
    "step",
    "tau",
    "transmittance",
    "version",
    "year",
)
"""Last words of number names that rightly carry no unit."""

SHARES = frozenset(
    {"absorptance", "effectiveness", "efficiency", "humidity", "reflectance", "rh", "share", "transmittance"}
)
"""Last words of names of shares of one: 0.5 is half."""

_BY_KEY = {quantity.key: quantity for quantity in QUANTITIES}


def quantity_of(field_name: str) -> Quantity | None:
    """The quantity of a name by its longest known ending (`leakage_m3_h` is an air flow, not a time)."""
    words = field_name.split("_")
    for first in range(len(words)):
        quantity = _BY_KEY.get("_".join(words[first:]))
        if quantity is not None:
            return quantity
    return None


def is_dimensionless(field_name: str) -> bool:
    """Whether the last word of the name is one of those that need no unit."""
    return field_name.rsplit("_", 1)[-1] in DIMENSIONLESS


def is_share(field_name: str) -> bool:
    """Whether the number of this name is a share of one, typed as 0.5 and not as 50."""
    return field_name.rsplit("_", 1)[-1] in SHARES


def format_number(value: Number, decimals: int) -> str:
    """The number with this many decimals, thousands set apart by commas, a true minus sign, never −0."""
    text = f"{value:,.{decimals}f}"
    if text.startswith("-"):
        return text[1:] if not text.strip("-0.,") else "−" + text[1:]
    return text


def signed_percent(share: float) -> str:
    """A share in percent with its sign, as margins are told everywhere: +23 %, −7 %.

    What rounds to nought is told with a tenth or a hundredth, so that a shortfall never reads as what just holds; less
    than a hundredth is told as one. Beyond ten times what is asked the number says no more than that.
    """
    if share > MOST_TOLD_APART:
        return f"over +{MOST_TOLD_APART * 100:.0f} %"
    if abs(share) < 1e-6:  # what is left of a sum, not a shortfall
        return "+0 %"
    percent = share * 100 if abs(share) >= 5e-5 else math.copysign(0.01, share)
    decimals = 0 if abs(percent) >= 0.5 else 1 if abs(percent) >= 0.05 else 2
    text = f"{format_number(percent, decimals)} %"
    return text if text.startswith("−") else f"+{text}"


def unit_key(field_name: str) -> str:
    """The key of the unit that a name carries ("m3_h" of "leakage_m3_h"), or nothing."""
    quantity = quantity_of(field_name)
    return quantity.key if quantity else ""


def in_unit(key: str, value: Number) -> str:
    """The value as people read it, in the unit of this key: 1.234 in "m2" is "1.23 m²".

    Without a key it is the plain number, with up to four significant digits.
    """
    if not key:
        return f"{value:.10g}" if isinstance(value, int) else f"{float(value):.4g}"
    quantity = _BY_KEY[key]
    gap = "" if quantity.unit == "°" else " "
    return f"{format_number(value, quantity.decimals)}{gap}{quantity.unit}"


def format_value(field_name: str, value: Number) -> str:
    """The value of a field as people read it, in the unit that its name carries."""
    return in_unit(unit_key(field_name), value)


def kw(value_w: Number) -> str:
    """A power beside a verdict: to 0.1 kW, since no estimate is better than that."""
    return f"{format_number(float(value_w) / 1000, 1)} kW"


def kelvin(value_k: Number) -> str:
    """A temperature difference beside a verdict: to 1 K."""
    return f"{format_number(float(value_k), 0)} K"


def celsius(value_c: Number) -> str:
    """A temperature beside a verdict: to 1 °C."""
    return f"{format_number(float(value_c), 0)} °C"
