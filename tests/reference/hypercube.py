"""Random plants for comparing solvers: a Latin hypercube over the ranges of plant_ranges.json."""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
from scipy.stats import qmc

from .direct_balance import saturation_pressure_pa

RANGES_FILE = Path(__file__).parent / "plant_ranges.json"


def plants(count: int, seed: int) -> list[dict[str, Any]]:
    """`count` plants as dicts of plain scalars: "refrigerant" and the inputs of the balance by name."""
    ranges: dict[str, Any] = json.loads(RANGES_FILE.read_text(encoding="utf-8"))
    names = [*ranges["choices"], *ranges["continuous"]]
    unit = qmc.LatinHypercube(d=len(names), rng=np.random.default_rng(seed)).random(count)
    return [_plant(dict(zip(names, map(float, row), strict=True)), ranges) for row in unit]


def _plant(unit: dict[str, float], ranges: dict[str, Any]) -> dict[str, Any]:
    """One plant from numbers between 0 and 1."""
    chosen = {name: values[int(unit[name] * len(values))] for name, values in ranges["choices"].items()}
    bounds = ranges["continuous"] | (ranges["electric_instead"] if chosen["electric"] else {})
    value = {
        name: _between(unit[name], lowest, highest, name in ranges["logarithmic"])
        for name, (lowest, highest) in bounds.items()
    }

    plant = {name: value[name] for name in value if not name.startswith("eta_")}
    for short, prefix in (("v", "eta_v"), ("i", "eta_is")):
        for power, coefficient in enumerate(_efficiency(value, prefix, ranges["efficiency_anchors"])):
            plant[f"{short}{power}"] = coefficient
    plant["displacement_m3"] = plant.pop("displacement_cc") * 1e-6
    for line in ("suction", "discharge"):
        plant[f"{line}_bore_m"] = plant.pop(f"{line}_bore_mm") * 1e-3
    vapour_pa = plant.pop("air_in_relative_humidity") * saturation_pressure_pa(plant["air_in_c"])
    plant["air_in_w"] = 0.621945 * vapour_pa / (plant["pressure_pa"] - vapour_pa)

    electric = chosen["electric"]
    if electric:  # an electric drive asked for more than it can do runs at its highest speed
        plant["speed_rpm"] = min(plant["speed_rpm"], plant["speed_max_rpm"])
    mode = chosen["electric_freeze_mode" if electric else "belt_freeze_mode"]
    return {"refrigerant": chosen["refrigerant"], "electric": electric, "freeze_mode": mode, **plant}


def _between(unit: float, lowest: float, highest: float, logarithmic: bool) -> float:
    if logarithmic:
        return math.exp(math.log(lowest) + unit * math.log(highest / lowest))
    return lowest + unit * (highest - lowest)


def _efficiency(value: dict[str, float], prefix: str, anchors: dict[str, float]) -> tuple[float, ...]:
    """Coefficients of 1, ratio, krpm, krpm^2 that meet the sampled efficiencies at the anchor points."""
    slope = -value[f"{prefix}_loss_to_ratio_8"] / (anchors["ratio_high"] - anchors["ratio_low"])
    speeds = np.array([anchors[f"speed_{at}_krpm"] for at in ("low", "middle", "high")])
    losses = [value[f"{prefix}_loss_at_low_speed"], 0.0, value[f"{prefix}_loss_at_high_speed"]]
    at_zero, linear, square = np.linalg.solve(np.vander(speeds, 3, increasing=True), -np.array(losses))
    constant = value[f"{prefix}_at_ratio_3"] - slope * anchors["ratio_low"] + at_zero
    return float(constant), slope, float(linear), float(square)
