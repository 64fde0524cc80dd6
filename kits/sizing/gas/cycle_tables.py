"""The property tables as the balance asks them: only the quantities it needs, each place found once.

No range is checked here; off an axis its last cell goes on. Who asks keeps the edges (see kits.sizing.balance.cycle).
"""

from typing import Any

import numpy as np

from kits.sizing.gas.spline import Curves, Place, Surfaces
from vehicles.physics.arrays import FloatArray


class CycleTables:
    """Tables of one refrigerant, cut out of those of kits.sizing.gas.refrigerant_build (see there for the columns)."""

    def __init__(self, tables: dict[str, Any]) -> None:
        saturation: Curves = tables["saturation"]
        gas, liquid = tables["gas"], tables["liquid"]
        by_entropy, by_enthalpy = tables["by_entropy"], tables["by_enthalpy"]
        self.t_axis = saturation.axis
        self.superheat_axis = gas.y_axis
        self.subcooling_axis = liquid.y_axis
        self._ln_p_axis = tables["t_sat"].axis
        self._entropy_axis, self._enthalpy_axis = by_entropy.y_axis, by_enthalpy.y_axis
        self._ln_p = saturation.only(0)
        self._edges = saturation.only(3, 6, 7)
        self._h_v = saturation.only(6)
        self._t_sat: Curves = tables["t_sat"]
        self._outlet: Surfaces = gas.only(0, 1, 3)
        self._inlet: Surfaces = gas.only(0, 1, 2)
        self._liquid_h: Surfaces = liquid.only(1)
        self._hot: Surfaces = by_entropy.only(2, 3)
        self._rise: Surfaces = by_entropy.only(1)
        self._superheat: Surfaces = by_enthalpy.only(0)
        self.most_above_j_kgk: float = self._entropy_axis.stop**2
        """How far above saturated vapour an entropy may lie."""

    def p_sat_pa(self, at: Place) -> FloatArray:
        """Saturation pressure."""
        pressure: FloatArray = np.exp(self._ln_p.at(at)[0])
        return pressure

    def t_sat_c(self, p_pa: FloatArray) -> FloatArray:
        """Saturation temperature."""
        found: FloatArray = self._t_sat.at(self._ln_p_axis.place(np.log(p_pa)))[0]
        return found

    def edges(self, at: Place) -> FloatArray:
        """Entropy of the liquid, enthalpy and entropy of the vapour at saturation."""
        return self._edges.at(at)

    def outlet(self, at: Place, superheat: Place) -> FloatArray:
        """Density, enthalpy, viscosity of superheated vapour."""
        return self._outlet.at(at, superheat)

    def inlet(self, at: Place, superheat: Place) -> FloatArray:
        """Density, enthalpy, entropy of superheated vapour."""
        return self._inlet.at(at, superheat)

    def liquid_h(self, at: Place, subcooling: Place) -> FloatArray:
        """Enthalpy of subcooled liquid."""
        found: FloatArray = self._liquid_h.at(at, subcooling)[0]
        return found

    def hot(self, at: Place, above_j_kgk: FloatArray) -> FloatArray:
        """Density, viscosity of gas with an entropy above that of saturated vapour; saturated below."""
        return self._hot.at(at, self._entropy_axis.place(_root(above_j_kgk)))

    def rise(self, at: Place, above_j_kgk: FloatArray) -> FloatArray:
        """Enthalpy above saturated vapour by entropy above it; 0 below."""
        found: FloatArray = self._rise.at(at, self._entropy_axis.place(_root(above_j_kgk)))[0]
        return found

    def superheat_root(self, at: Place, h_j_kg: FloatArray) -> FloatArray:
        """Root of the superheat of gas with an enthalpy; 0 below saturation."""
        above = h_j_kg - self._h_v.at(at)[0]
        return _root(self._superheat.at(at, self._enthalpy_axis.place(_root(above)))[0])


def _root(distance: FloatArray) -> FloatArray:
    """Square root of the distance from saturation; 0 on the wrong side of it."""
    root: FloatArray = np.sqrt(np.maximum(distance, 0.0))
    return root
