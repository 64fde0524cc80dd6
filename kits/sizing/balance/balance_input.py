"""What the refrigeration balance is asked: the plant, the air on both sides, the guards; what is refused."""

from dataclasses import dataclass, fields, replace
from enum import StrEnum
from typing import Any

import numpy as np

from kits.sizing.gas.refrigerant import Refrigerant
from vehicles.physics.air import saturation_humidity_ratio
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray, floats

FREEZE_MODES = ("cycling", "suction-regulated", "speed-controlled")
SATURATED_ROUNDING = 1e-6


class Status(StrEnum):
    """How a point ended; the first that applies, in this order."""

    INVALID = "invalid input"
    OUT_OF_RANGE = "out of range"
    NO_SOLUTION = "no solution"
    HIGH_PRESSURE = "high pressure"
    OVER_SPEED = "over speed"
    FREEZE_LIMITED = "freeze-limited"
    SPEED_LIMITED = "speed-limited"
    FULL = "full"


UNSOLVED = (Status.INVALID, Status.OUT_OF_RANGE, Status.NO_SOLUTION)
"""Statuses without numbers."""


@dataclass(frozen=True, kw_only=True)
class BalanceInput:
    """One or many operating points; every field a scalar or an array, broadcast together.

    compressor   displacement_m3 per revolution, speeds in rev/min, electric or belt
                 eta_v = v0 + v1·PR + v2·n + v3·n², eta_is = i0 + i1·PR + i2·n + i3·n², n = speed/1000
    refrigerant  superheat_k at the coil outlet, subcooling_k after the condenser, suction_gain_k in the hose
    lines        length, bore and sum of loss coefficients of the suction and the discharge line
    evaporator   UA_air = evap_ua_air_w_k·(air_kg_s/evap_ref_air_kg_s)^0.8; evap_ua_ref_w_k to the fins
    coil air     dry air kg/s, inlet °C and kg/kg, pressure Pa
    condenser    UA = cond_ua_w_k·(cond_air_kg_s/cond_ref_air_kg_s)^cond_exponent, air inlet °C
    guards       freeze_mode (see FREEZE_MODES), the fin temperature it holds, °C; absolute pressure at the
                 condenser inlet at which the high-pressure switch opens; discharge temperature limit, °C
    """

    displacement_m3: Any
    speed_rpm: Any
    speed_min_rpm: Any
    speed_max_rpm: Any
    electric: Any
    v0: Any
    v1: Any
    v2: Any
    v3: Any
    i0: Any
    i1: Any
    i2: Any
    i3: Any
    superheat_k: Any
    subcooling_k: Any
    suction_gain_k: Any
    suction_length_m: Any
    suction_bore_m: Any
    suction_k: Any
    discharge_length_m: Any
    discharge_bore_m: Any
    discharge_k: Any
    evap_ua_air_w_k: Any
    evap_ref_air_kg_s: Any
    evap_ua_ref_w_k: Any
    air_kg_s: Any
    air_in_c: Any
    air_in_w: Any
    pressure_pa: Any
    cond_ua_w_k: Any
    cond_ref_air_kg_s: Any
    cond_exponent: Any
    cond_air_kg_s: Any
    cond_air_in_c: Any
    freeze_mode: Any
    freeze_surface_c: Any
    high_pressure_cut_out_pa: Any
    discharge_limit_c: Any

    def flat(self) -> tuple["BalanceInput", tuple[int, ...]]:
        """All fields as arrays of one dimension and the same length, and the shape they had together."""
        arrays = {f.name: _as_array(f.name, getattr(self, f.name)) for f in fields(self)}
        try:
            together = np.broadcast_arrays(*arrays.values())
        except ValueError:
            sizes = ", ".join(f"{name} {a.shape}" for name, a in arrays.items() if a.ndim)
            raise ValueError(f"The inputs of the balance do not fit together: {sizes}.") from None
        flat = {name: np.ascontiguousarray(a).ravel() for name, a in zip(arrays, together, strict=True)}
        return BalanceInput(**flat), together[0].shape

    def take(self, rows: IntArray) -> "BalanceInput":
        """The given rows of flat inputs."""
        return BalanceInput(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    def scaled(self, **factors: float) -> "BalanceInput":
        """The same plants with some fields multiplied."""
        return replace(self, **{name: floats(getattr(self, name)) * by for name, by in factors.items()})


def _as_array(name: str, value: Any) -> np.ndarray[Any, Any]:
    if name == "electric":
        return np.asarray(value, dtype=bool)
    if name == "freeze_mode":
        return np.asarray(value, dtype=np.str_)
    return floats(value)


_ABOVE_ZERO = {
    "displacement_m3": "The compressor's displacement",
    "speed_rpm": "The compressor's speed",
    "speed_min_rpm": "The compressor's lowest speed",
    "speed_max_rpm": "The compressor's highest speed",
    "suction_bore_m": "The suction line's bore",
    "discharge_bore_m": "The discharge line's bore",
    "evap_ua_air_w_k": "The coil's conductance on the air side",
    "evap_ref_air_kg_s": "The coil's reference air flow",
    "evap_ua_ref_w_k": "The coil's conductance on the refrigerant side",
    "air_kg_s": "The coil's air flow",
    "pressure_pa": "The air pressure",
    "cond_ua_w_k": "The condenser's conductance",
    "cond_ref_air_kg_s": "The condenser's reference air flow",
    "cond_air_kg_s": "The condenser's air flow",
    "high_pressure_cut_out_pa": "The high-pressure cut-out",
}
_NOT_NEGATIVE = {
    "superheat_k": "The superheat",
    "subcooling_k": "The subcooling",
    "suction_gain_k": "The temperature rise in the suction line",
    "suction_length_m": "The suction line's length",
    "suction_k": "The suction line's loss coefficient",
    "discharge_length_m": "The discharge line's length",
    "discharge_k": "The discharge line's loss coefficient",
    "air_in_w": "The humidity ratio of the coil's air",
}
_RANGES: dict[str, tuple[float, float, str]] = {
    "superheat_k": (0, 60, "The superheat lies outside 0 to 60 K."),
    "subcooling_k": (0, 40, "The subcooling lies outside 0 to 40 K."),
    "suction_gain_k": (0, 60, "The temperature rise in the suction line lies outside 0 to 60 K."),
    "air_in_c": (-40, 80, "The coil's air inlet lies outside -40 to 80 °C."),
    "cond_air_in_c": (-40, 80, "The condenser's air inlet lies outside -40 to 80 °C."),
    "pressure_pa": (50e3, 120e3, "The air pressure lies outside 500 to 1,200 hPa."),
    "freeze_surface_c": (-20, 30, "The freeze control's surface temperature lies outside -20 to 30 °C."),
}


class Marks:
    """Status and reason per row; the first mark of a row stands. Kept as numbers, which compare faster."""

    def __init__(self, count: int) -> None:
        self.reason = np.full(count, None, dtype=object)
        self._code = np.zeros(count, dtype=np.int8)

    def mark(self, where: BoolArray, status: Status, reason: str | None = None) -> None:
        """Mark the rows that carry no mark yet."""
        if where.any():
            now = where & self.is_open
            self._code[now] = _CODES[status]
            self.reason[now] = reason

    def put(self, rows: IntArray, marks: "Marks") -> None:
        """Take over the marks of some rows."""
        self._code[rows], self.reason[rows] = marks._code, marks.reason

    @property
    def is_open(self) -> BoolArray:
        """Rows without a mark."""
        unmarked: BoolArray = self._code == 0
        return unmarked

    @property
    def is_unsolved(self) -> BoolArray:
        """Rows whose status gives no numbers."""
        unsolved: BoolArray = np.isin(self._code, [_CODES[status] for status in UNSOLVED])
        return unsolved

    @property
    def status(self) -> Any:
        """The status of each row by its name."""
        return _NAMES[self._code]


_CODES = {status: code for code, status in enumerate(Status, start=1)}
_NAMES = np.array(["", *(status.value for status in Status)])


def mark_inputs(x: BalanceInput, gas: Refrigerant, marks: Marks) -> None:
    """Mark the rows that cannot or need not be solved, each with its reason."""
    for field in fields(x):
        value = getattr(x, field.name)
        if value.dtype.kind == "f":
            marks.mark(~np.isfinite(value), Status.INVALID, f"The input {field.name} is not a number.")
    for name, subject in _ABOVE_ZERO.items():
        marks.mark(getattr(x, name) <= 0, Status.INVALID, f"{subject} must be above zero.")
    for name, subject in _NOT_NEGATIVE.items():
        marks.mark(getattr(x, name) < 0, Status.INVALID, f"{subject} must not be negative.")
    marks.mark(
        x.speed_min_rpm > x.speed_max_rpm, Status.INVALID, "The lowest speed is above the highest speed."
    )
    known_mode = np.logical_or.reduce([x.freeze_mode == mode for mode in FREEZE_MODES])
    marks.mark(~known_mode, Status.INVALID, "The freeze mode is one of " + _listed() + ".")
    marks.mark(
        (x.freeze_mode == "speed-controlled") & ~x.electric,
        Status.INVALID,
        "Only an electric compressor can be speed-controlled.",
    )
    for name, (low, high, sentence) in _RANGES.items():
        value = getattr(x, name)
        marks.mark((value < low) | (value > high), Status.OUT_OF_RANGE, sentence)
    marks.mark(
        _supersaturated(x, marks.is_open), Status.INVALID, "The coil's air holds more water than it can."
    )
    marks.mark(
        x.speed_rpm < x.speed_min_rpm, Status.OUT_OF_RANGE, "The speed is below the compressor's lowest."
    )
    marks.mark(
        x.cond_air_in_c >= gas.condensing_to_c,
        Status.OUT_OF_RANGE,
        "The condenser's air is hotter than the highest condensing temperature.",
    )
    marks.mark(
        x.air_in_c <= x.freeze_surface_c,
        Status.NO_SOLUTION,
        "The inlet air is no warmer than the surface the freeze control holds: there is nothing to cool.",
    )


def _listed() -> str:
    return ", ".join(FREEZE_MODES)


def _supersaturated(x: BalanceInput, known: BoolArray) -> BoolArray:
    most: FloatArray = saturation_humidity_ratio(
        np.where(known, x.air_in_c, 20.0), np.where(known, x.pressure_pa, 101325.0)
    )
    above: BoolArray = known & (x.air_in_w > most * (1 + SATURATED_ROUNDING))
    return above
