"""Air paths as arrays: the curve of each blower at its speed, and what each element takes at a flow."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.air.air_path import SERIES, AirPath, Calibration, Resistance
from kits.sizing.air.blower import STANDARD_AIR_KG_M3, BlowerData, fan_laws, speed_share
from kits.sizing.air.ducts import air_viscosity_pa_s, flexible_duct_factor
from kits.sizing.air.parallel_ducts import Branches, split
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray, floats


@dataclass(frozen=True, kw_only=True)
class AirBatch:
    """Air paths as arrays, one row each, with voltage, step and air.

    Rows with bad input hold harmless numbers and are marked. Flows are in m³/s, one for each of `rows`.
    """

    paths: tuple[AirPath, ...]
    blowers: tuple[BlowerData, ...]
    blower_of_row: IntArray
    voltage_v: FloatArray
    share: FloatArray
    density_ratio: FloatArray
    flow_ratio: FloatArray
    """By the fan laws, over the curve's own; so are the next two."""
    pressure_ratio: FloatArray
    current_ratio: FloatArray
    series: Mapping[str, FloatArray]
    """by element of SERIES: rated Pa, rated m³/h and exponent of each row"""
    system_factor: FloatArray
    blower_factor: FloatArray
    branches: Branches
    valid: BoolArray

    @classmethod
    def build(
        cls,
        paths: Sequence[AirPath],
        voltage_v: ArrayLike,
        step_share: ArrayLike,
        density_kg_m3: ArrayLike,
        air_c: ArrayLike,
    ) -> "AirBatch":
        """The arrays of a batch; voltage, share, density and temperature are broadcast over the paths."""
        shape = (len(paths),)
        voltage, share, density, t_c = (
            np.array(np.broadcast_to(floats(v), shape)) for v in (voltage_v, step_share, density_kg_m3, air_c)
        )
        valid = (voltage > 0) & np.isfinite(voltage) & (share > 0) & (share <= 1)
        valid &= (density > 0) & np.isfinite(density) & (t_c >= -100) & (t_c <= 200)
        voltage, share, density, t_c = (
            np.where(valid, v, usual)
            for v, usual in ((voltage, 12.0), (share, 1.0), (density, STANDARD_AIR_KG_M3), (t_c, 20.0))
        )
        blowers = list(dict.fromkeys(p.blower for p in paths))
        none = Calibration(1.0, 1.0)
        factors = [p.calibration or none for p in paths]
        speed = speed_share(voltage, share, np.array([p.blower.rated_voltage_v for p in paths]))
        flow, pressure, power = fan_laws(speed, 1.0, density / STANDARD_AIR_KG_M3)
        return cls(
            paths=tuple(paths),
            blowers=tuple(blowers),
            blower_of_row=np.array([blowers.index(p.blower) for p in paths], dtype=np.intp),
            voltage_v=voltage,
            share=share,
            density_ratio=density / STANDARD_AIR_KG_M3,
            flow_ratio=flow,
            pressure_ratio=pressure,
            # the voltage goes with the speed, so the current is the power over the speed
            current_ratio=power / speed,
            series={name: _terms([p.series[name] for p in paths]) for name in SERIES},
            system_factor=np.array([f.system_factor for f in factors]),
            blower_factor=np.array([f.blower_factor for f in factors]),
            branches=_branches(paths, density, air_viscosity_pa_s(t_c)),
            valid=valid,
        )

    def by_blower(self, total_m3_s: FloatArray, rows: IntArray, what: str) -> FloatArray:
        """A blower's `static_pa` or `current_a` at rated speed, at the flow that the fan laws bring there."""
        got = np.empty(rows.size)
        for k, blower in enumerate(self.blowers):
            mine = np.flatnonzero(self.blower_of_row[rows] == k)
            at = total_m3_s[mine] * 3600 / self.flow_ratio[rows[mine]]
            # rounding alone may carry the scaled end of the curve past its last row
            at = np.where(np.abs(at - blower.most_m3_h) < 1e-9 * blower.most_m3_h, blower.most_m3_h, at)
            at = np.where(np.abs(at - blower.least_m3_h) < 1e-9 * blower.most_m3_h, blower.least_m3_h, at)
            got[mine] = getattr(blower, what)(at)
        return got

    def scaled_ends_m3_s(self) -> tuple[FloatArray, FloatArray]:
        """First and last flow of the curve at each row's speed."""
        least = np.array([b.least_m3_h for b in self.blowers])[self.blower_of_row]
        most = np.array([b.most_m3_h for b in self.blowers])[self.blower_of_row]
        return least * self.flow_ratio / 3600, most * self.flow_ratio / 3600

    def blower_pa(self, total_m3_s: FloatArray, rows: IntArray) -> FloatArray:
        """Static pressure that the blower gives at that total flow, by the calibration's factor."""
        factor = self.blower_factor[rows] * self.pressure_ratio[rows]
        return factor * self.by_blower(total_m3_s, rows, "static_pa")

    def loss_pa(self, name: str, total_m3_s: FloatArray, rows: IntArray) -> FloatArray:
        """What one element of SERIES takes at that total flow."""
        rated_pa, rated_m3_h, exponent = self.series[name][rows].T
        loss: FloatArray = rated_pa * (total_m3_s * 3600 / rated_m3_h) ** exponent
        return self.system_factor[rows] * self.density_ratio[rows] * loss

    def series_pa(self, total_m3_s: FloatArray, rows: IntArray) -> FloatArray:
        """What all the air passes."""
        losses = [self.loss_pa(name, total_m3_s, rows) for name in SERIES if self.series[name][:, 0].any()]
        return np.sum(losses, axis=0) if losses else np.zeros(rows.size)

    def all_losses_pa(self, total_m3_s: FloatArray) -> FloatArray:
        """What every row's path takes at that total flow."""
        rows = np.arange(len(self.paths))
        outlets: FloatArray = self.system_factor * split(total_m3_s, self.branches).plenum_pa
        return self.series_pa(total_m3_s, rows) + outlets

    def outlet_losses_pa(self, flow_m3_s: FloatArray, total_m3_s: FloatArray) -> dict[str, FloatArray]:
        """What ducts and vents take, each as the mean over the air that passes it; every row."""
        found = {}
        for name, resistance in zip(("ducts", "vents"), self.branches.parts(flow_m3_s), strict=True):
            power = np.where(self.branches.is_open, resistance * flow_m3_s**3, 0.0)
            found[name] = self.system_factor * power.sum(axis=1) / total_m3_s
        return found

    def left_for_outlets_pa(self, total_m3_s: FloatArray, rows: IntArray) -> FloatArray:
        """What the uncalibrated outlets may lose so that, with the system factor, the balance holds."""
        left = self.blower_pa(total_m3_s, rows) - self.series_pa(total_m3_s, rows)
        return left / self.system_factor[rows]

    def electric(self, total_m3_s: FloatArray, rows: IntArray) -> tuple[FloatArray, FloatArray]:
        """Current from the supply, A, and power, W."""
        motor = self.by_blower(total_m3_s, rows, "current_a") * self.current_ratio
        by_resistor = np.array([p.blower.step_by_resistor for p in self.paths], dtype=bool)
        supply = np.where(by_resistor, motor, motor * self.share)
        return supply, supply * self.voltage_v


def _terms(resistances: Sequence[Resistance]) -> FloatArray:
    return np.array([(r.rated_pa, r.rated_m3_h, r.exponent) for r in resistances]).reshape(-1, 3)


def _branches(paths: Sequence[AirPath], density: FloatArray, viscosity: FloatArray) -> Branches:
    """The outlets as padded arrays; a missing one is a closed copy of the first."""
    most = max((len(p.outlets) for p in paths), default=0)
    padded = [(*p.outlets, *(p.outlets[:1] * (most - len(p.outlets)))) for p in paths]

    def column(name: str) -> FloatArray:
        return np.array([[getattr(o, name) for o in row] for row in padded]).reshape(len(paths), most)

    diameter_mm = column("diameter_mm")
    return Branches(
        length_m=column("length_m"),
        diameter_m=diameter_mm / 1000,
        roughness_m=column("roughness_mm") / 1000,
        friction_multiple=flexible_duct_factor(diameter_mm, column("compression_percent")),
        duct_k=column("minor_k"),
        end_area_m2=column("free_area_cm2") * 1e-4,
        end_k=column("vent_k") + 1.0,
        is_open=np.arange(most) < np.array([len(p.outlets) for p in paths])[:, None],
        density_kg_m3=density[:, None],
        viscosity_pa_s=viscosity[:, None],
    )
