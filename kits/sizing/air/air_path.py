"""What the air of one car passes: intake, filter, blower, coil, matrix, ducts, vents; and what a trial made of it."""

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, replace

import numpy as np

from kits.sizing.air.blower import BlowerData, air_density_kg_m3
from kits.sizing.air.ducts import ROUGHEST, flexible_duct_factor
from vehicles.physics.arrays import Refusal


@dataclass(frozen=True)
class Resistance:
    """A pressure loss given at one flow in standard air, Δp = rated_pa·(Q/rated_m3_h)^exponent.

    exponent  2 for intake and filter housing; about 1.8 for a wet coil
    """

    rated_pa: float
    rated_m3_h: float
    exponent: float

    def __post_init__(self) -> None:
        if not (0 <= self.rated_pa < np.inf and 0 < self.rated_m3_h < np.inf and 1 <= self.exponent <= 2):
            raise Refusal("A rated loss needs Pa not negative, m³/h above zero, an exponent from 1 to 2.")


SERIES = ("intake", "filter", "coil", "matrix")
"""What all the air passes one after the other."""
NO_LOSS = Resistance(0.0, 1.0, 2.0)


@dataclass(frozen=True, kw_only=True)
class Outlet:
    """A duct from the plenum and the vent at its end.

    minor_k              bends and entry, on the velocity in the duct
    compression_percent  0 for a rigid duct or a hose pulled straight, up to 30
    free_area_cm2        of the open vent
    vent_k               louvres and grille, on the velocity in the free area; the jet's own velocity pressure
                         is added to it
    """

    code: str
    diameter_mm: float
    length_m: float
    roughness_mm: float
    minor_k: float
    compression_percent: float
    free_area_cm2: float
    vent_k: float

    def __post_init__(self) -> None:
        sizes = (self.diameter_mm, self.free_area_cm2)
        others = (self.length_m, self.roughness_mm, self.minor_k, self.vent_k)
        if not (all(0 < s < np.inf for s in sizes) and all(0 <= o < np.inf for o in others)):
            raise Refusal(f"Outlet {self.code}: diameter and free area above zero, nothing negative.")
        if self.roughness_mm > ROUGHEST * self.diameter_mm:
            raise Refusal(f"Outlet {self.code}: the roughness is more than a tenth of the diameter.")
        flexible_duct_factor(self.diameter_mm, self.compression_percent)


@dataclass(frozen=True)
class Calibration:
    """What a trial made of the model: factors on all losses and on the blower's pressure; 1 and 1 without."""

    system_factor: float
    blower_factor: float

    def __post_init__(self) -> None:
        if not (0 < self.system_factor < np.inf and 0 < self.blower_factor < np.inf):
            raise Refusal("The factors of a calibration must be above zero.")


@dataclass(frozen=True)
class AirPath:
    """One car's air side. The outlets are those that are open; a closed vent is left out.

    filter          the clean filter, before blower and coil; None where the kit brings none, or no data of it
    clogged_filter  the same filter when it is due to be changed; None where nobody measured that
    matrix          a heater matrix in the same casing, behind the coil
    """

    blower: BlowerData
    intake: Resistance
    coil: Resistance
    outlets: tuple[Outlet, ...]
    _: KW_ONLY
    coil_is_before_blower: bool
    calibration: Calibration | None = None
    filter: Resistance | None = None
    clogged_filter: Resistance | None = None
    matrix: Resistance | None = None

    def __post_init__(self) -> None:
        if not self.outlets:
            raise Refusal("The air path has no outlet.")

    @property
    def series(self) -> Mapping[str, Resistance]:
        """What all the air passes, in the order of SERIES; what is not there loses nothing."""
        found = (self.intake, self.filter, self.coil, self.matrix)
        return {name: one or NO_LOSS for name, one in zip(SERIES, found, strict=True)}

    def clogged(self) -> "AirPath | None":
        """The same path with its filter due to be changed; None where that is not known."""
        return None if self.clogged_filter is None else replace(self, filter=self.clogged_filter)


@dataclass(frozen=True)
class TrialPoint:
    """Measured on the car: flow, and the static pressure rise across the blower, at this voltage and step.

    The filter was clean, all vents were open and the coil as wet as it usually is.
    """

    airflow_m3_h: float
    blower_static_pa: float
    voltage_v: float
    step_share: float
    density_kg_m3: float
    air_c: float = 20.0

    @classmethod
    def at_plug(
        cls, airflow_m3_h: float, blower_static_pa: float, motor_voltage_v: float, air_c: float
    ) -> "TrialPoint":
        """A trial whose voltage was read at the motor's plug at its step, in air of that temperature."""
        density = float(air_density_kg_m3(air_c))
        return cls(airflow_m3_h, blower_static_pa, motor_voltage_v, 1.0, density, air_c)
