"""The pressure switch: when the fan comes on, what is left to the cut-out, and in which cold it stays open."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.gas.refrigerant import Refrigerant
from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array
from vehicles.physics.pressure import absolute_pa, gauge_bar_g


class ChainDistances(NamedTuple):
    """How far a head pressure lies from the switch's settings, bar; negative beyond them."""

    above_fan_on_bar: FloatArray
    below_cut_out_bar: FloatArray
    below_reset_bar: FloatArray


def chain_distances(
    head_bar_g: ArrayLike, fan_on_bar_g: ArrayLike, cut_out_bar_g: ArrayLike, reset_bar_g: ArrayLike
) -> ChainDistances:
    """How far a head pressure lies from where the fan comes on, the switch opens, and it closes again.

    Formula: head - fan-on; cut-out - head; reset - head.
    Parameters: head_bar_g, fan_on_bar_g, cut_out_bar_g, reset_bar_g, bar g; fan-on and reset lie below the cut-out.
    Returns: three distances in bar, negative beyond the setting.
    Validity: the switch feels the head pressure; the liquid hose's loss is left out.
    Source: definition.
    Check: by hand.
    """
    head, fan, cut, reset = (floats(v) for v in (head_bar_g, fan_on_bar_g, cut_out_bar_g, reset_bar_g))
    valid = (fan < cut) & (reset < cut) & np.isfinite(head)
    sentence = "A pressure chain has its fan-on and its reset below its cut-out, and needs a head pressure."
    return ChainDistances(*(answer(d, valid, sentence) for d in (head - fan, cut - head, reset - head)))


def at_rest_bar_g(gas: Refrigerant, ambient_c: ArrayLike) -> FloatArray:
    """The pressure of a charged circuit at rest, everywhere at the temperature of the air.

    Formula: p = p_sat(t) - atmosphere.
    Parameters: gas; ambient_c, °C, within the tables.
    Returns: bar g.
    Validity: liquid is left in the circuit, and no air is in it.
    Source: saturation of the refrigerant.
    Check: R-134a at 20 °C: 4.7 bar g.
    """
    return scalar_or_array(gauge_bar_g(gas.p_sat_pa(ambient_c)))


def starts_from_c(gas: Refrigerant, low_cut_out_bar_g: ArrayLike) -> FloatArray:
    """The outside temperature below which the low-pressure switch of a standing kit is open.

    Formula: t = t_sat(low cut-out + atmosphere).
    Parameters: gas; low_cut_out_bar_g, bar g, within the tables.
    Returns: °C; colder than this the kit does not start, though nothing is wrong.
    Validity: a switch on the liquid side, which feels the pressure at rest before a start and the head while the
    kit runs: it opens when the charge is lost, and does not guard the coil from freezing.
    Source: saturation of the refrigerant.
    Check: the pressure at rest at that temperature is the cut-out.
    """
    return scalar_or_array(gas.t_sat_c(absolute_pa(floats(low_cut_out_bar_g))))
