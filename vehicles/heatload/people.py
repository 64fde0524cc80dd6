"""The heat that people give off, dry and as moisture."""

import numpy as np
from numpy.typing import ArrayLike

from vehicles.heatload.defaults import default_value
from vehicles.heatload.inputs import Seat
from vehicles.physics.arrays import FloatArray, answer, floats

SKIN_C = 34.0
"""Skin temperature at which no dry heat leaves any more."""
HIGHEST_SENSIBLE_SHARE = 0.8
"""Breath and skin always give some moisture: at least a fifth of the heat (ASHRAE ch. 9)."""


def skin_area_m2(mass_kg: ArrayLike, height_m: ArrayLike) -> FloatArray:
    """A = 0.202·m^0.425·h^0.725, m². Source: DuBois and DuBois, Arch. Intern. Med. 17 (1916) 863."""
    mass, height = floats(mass_kg), floats(height_m)
    valid = (mass > 0) & (height > 0)
    safe_mass, safe_height = np.where(valid, mass, 70.0), np.where(valid, height, 1.73)
    return answer(0.202 * safe_mass**0.425 * safe_height**0.725, valid, "Mass and height must be above zero.")


def person_w(activity: str) -> float:
    """Heat of one person, W: rate per skin area for the activity times the standard person's skin."""
    return default_value(f"people.{activity}_w_m2") * default_value("people.skin_area_m2")


def people_w(seats: tuple[Seat, ...], occupants: int) -> float:
    """Heat of the people on the first `occupants` seats, W."""
    return sum(person_w(seat.activity) for seat in seats[:occupants])


def sensible_share(cabin_c: ArrayLike) -> FloatArray:
    """Share of a person's heat that is dry: 0.55 at 25 °C, falling in proportion to 34 °C − cabin, 0 to 0.8.

    The moisture share at 25 °C is data (40 to 50 %, common practice, no source); above skin temperature all
    heat leaves as moisture. Both ends are physical, so no temperature is refused here.
    """
    at_25 = 1 - default_value("people.latent_share_at_25_c")
    share = at_25 * (SKIN_C - floats(cabin_c)) / (SKIN_C - 25)
    clipped = np.clip(share, 0.0, HIGHEST_SENSIBLE_SHARE)
    return answer(clipped, np.isfinite(clipped), "The share of dry heat needs the cabin's temperature.")
