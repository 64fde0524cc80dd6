"""Structural bolts: the torque that makes a sensible preload, as a band that a stated torque should lie in."""

import json
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, Refusal, answer, floats

DATA_FILE = Path(__file__).parent / "data" / "fasteners.json"
SIZE = re.compile(r"^\s*M\s*(\d+(?:[.,]\d+)?)(?![\d.,])")
FINE_PITCH = re.compile(r"^\s*M\s*\d+(?:[.,]\d+)?\s*[×x]\s*(0?[.,]\d+|1(?:[.,]\d+)?)(?![\d.,])")


@dataclass(frozen=True)
class FastenerConstants:
    """Values of the data file, each with its unit and source there."""

    proof_load_n: dict[str, dict[float, float]]
    """by property class and the thread's diameter in mm"""
    usual_class: str
    preload_share: float
    nut_factor_low: float
    nut_factor_high: float


@cache
def fastener_constants() -> FastenerConstants:
    """The data file, read once."""
    rows = json.loads(DATA_FILE.read_text(encoding="utf-8"))
    values = {name: row["value"] for name, row in rows.items() if name != "_"}
    loads = {
        kind: {float(size): float(load) for size, load in by_size.items()}
        for kind, by_size in values.pop("proof_load_n").items()
    }
    return FastenerConstants(proof_load_n=loads, **values)


def tightening_torque_nm(nut_factor: ArrayLike, diameter_mm: ArrayLike, preload_n: ArrayLike) -> FloatArray:
    """The torque that gives a bolt its preload.

    Formula: T = K·d·F.
    Parameters: nut_factor K, above 0 and below 1 (0.15 oiled, 0.2 dry); diameter_mm of the thread; preload_n.
    Returns: torque in N·m.
    Validity: the scatter of K makes the preload uncertain by about a quarter.
    Source: any handbook of machine elements.
    Check: Wentzell, Machine Design, example 6.1; torques of VDI 2230 with their preloads.

    >>> round(float(tightening_torque_nm(0.2, 8, 15_000)), 6)
    24.0
    """
    k, d, force = floats(nut_factor), floats(diameter_mm), floats(preload_n)
    sentence = "A nut factor lies between 0 and 1; a diameter is above zero and a preload not negative."
    return answer(
        k * d / 1000 * force, (k > 0) & (k < 1) & (d > 0) & (force >= 0) & (force < float("inf")), sentence
    )


def proof_load_n(diameter_mm: float, property_class: str) -> float:
    """The load that a bolt with coarse thread bears without a lasting stretch.

    Formula: table.
    Parameters: diameter_mm of a coarse thread, 4 to 16; property_class "8.8" or "10.9".
    Returns: load in N. A size or class that is not in the data raises Refusal.
    Validity: coarse threads; a fine one bears a little more.
    Source: ISO 898-1, partly from memory as data/fasteners.json says.
    Check: M5, M6 and M10 of class 8.8; all by stress and stress area.

    >>> proof_load_n(8, "8.8")
    21200.0
    """
    loads = fastener_constants().proof_load_n.get(property_class)
    if loads is None:
        raise Refusal(f"“{property_class}” is not among the property classes that are known here.")
    if diameter_mm not in loads:
        raise Refusal(f"M{diameter_mm:g} is not among the sizes whose proof load is known here.")
    return loads[diameter_mm]


def torque_band_nm(diameter_mm: float, property_class: str | None = None) -> tuple[float, float]:
    """The band of plausible tightening torque of a structural bolt.

    Formula: T = K·d·F with F = 0.75 · proof load and K from 0.15 (oiled) to 0.2 (dry).
    Parameters: diameter_mm of a coarse thread; property_class, None for the usual one (8.8).
    Returns: lower and upper torque in N·m.
    Validity: steel in steel. A thread in light alloy or sheet, a stud or a rubber mount takes less, for a reason
    of its own; so this is a band to think about, not a torque to write on a step.
    Source: ISO 898-1 for the proof load; share and factors: common practice, no source.
    Check: torques of makers' tables, and of the mechanics of a screw at usual friction, lie in it.

    >>> [round(torque, 1) for torque in torque_band_nm(8)]
    [19.1, 25.4]
    """
    c = fastener_constants()
    preload = c.preload_share * proof_load_n(diameter_mm, property_class or c.usual_class)
    low, high = (tightening_torque_nm(k, diameter_mm, preload) for k in (c.nut_factor_low, c.nut_factor_high))
    return float(low), float(high)


def thread_mm(bolt_size: str) -> float | None:
    """Diameter of a metric coarse thread from the words of a bolt.

    Formula: the number after M; none where a pitch below 2 mm is written behind it.
    Parameters: bolt_size, such as "M8" or "M8 × 25".
    Returns: mm; None for any other thread, also a fine one, and for a size whose proof load is not in the data.
    Validity: a number from 2 up behind the size is taken for a length. A coarse pitch that is written out, as in
    M10 × 1.5, is not answered either.
    Source: designation of metric threads, ISO 68 and ISO 261, from memory.
    Check: M8 × 25 is a coarse thread of 8 mm, M8x1 a fine one.

    >>> thread_mm("M8 × 25"), thread_mm("M8x1")
    (8.0, None)
    """
    found = SIZE.match(bolt_size)
    if found is None or FINE_PITCH.match(bolt_size):
        return None
    size = float(found[1].replace(",", "."))
    c = fastener_constants()
    return size if size in c.proof_load_n[c.usual_class] else None


Judged = Literal["inside", "below", "above"]


def judged(low_nm: float, high_nm: float, band_nm: tuple[float, float]) -> Judged:
    """Where a stated range of torque lies against the plausible band.

    Formula: "above" where high > top + 0.5, else "below" where low < foot − 0.5, else "inside".
    Parameters: low_nm and high_nm, stated torque, N·m; band_nm, foot and top of the band, N·m.
    Returns: a word.
    Validity: half a newton metre, the step in which torques are written, is not counted.
    Source: common practice, no source.
    Check: 22 to 28 N·m are above a band of 19.1 to 25.4.

    >>> judged(22, 28, (19.1, 25.4)), judged(22, 25.5, (19.1, 25.4))
    ('above', 'inside')
    """
    if high_nm > band_nm[1] + 0.5:
        return "above"
    return "below" if low_nm < band_nm[0] - 0.5 else "inside"
