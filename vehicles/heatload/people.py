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


def person_w(activity: str) -> float:
    """Heat of one person, dry and as moisture together.

    Formula: rate per skin area of the activity · skin area of the standard person
    Parameters: activity of the seat, as the defaults name it
    Returns: W
    Validity: an adult of standard size
    Source: the defaults `people.…_w_m2` and `people.skin_area_m2`, each with its own source
    Check: by hand: 60 W/m² on 1.8 m²

    >>> round(person_w("passenger"), 6)
    108.0
    """
    return default_value(f"people.{activity}_w_m2") * default_value("people.skin_area_m2")


def people_w(seats: tuple[Seat, ...], occupants: int) -> float:
    """Heat of the people on the first seats.

    Formula: Σ of one person's heat over the occupied seats
    Parameters: seats in the order in which they are taken; occupants
    Returns: W
    Validity: not more people than seats are counted
    Source: definition
    Check: nobody gives off nothing

    >>> people_w((), 0)
    0
    """
    return sum(person_w(seat.activity) for seat in seats[:occupants])


def sensible_share(cabin_c: ArrayLike) -> FloatArray:
    """Share of a person's heat that is dry; the rest leaves as moisture.

    Formula: s = s_25·(34 − T)/(34 − 25), at least 0 and at most 0.8; s_25 is 1 less the default
        `people.latent_share_at_25_c`
    Parameters: cabin_c T, °C
    Returns: a share
    Validity: any temperature: above that of the skin all heat leaves as moisture, and breath and skin always give some
    Source: 40 to 50 % of moisture at 25 °C, common practice, no source; both ends by ASHRAE ch. 9
    Check: nothing dry leaves at 34 °C

    >>> float(sensible_share(34))
    0.0
    """
    at_25 = 1 - default_value("people.latent_share_at_25_c")
    share = at_25 * (SKIN_C - floats(cabin_c)) / (SKIN_C - 25)
    clipped = np.clip(share, 0.0, HIGHEST_SENSIBLE_SHARE)
    return answer(clipped, np.isfinite(clipped), "The share of dry heat needs the cabin's temperature.")
