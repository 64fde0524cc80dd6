"""Cooling the people: what of a vent's cold air reaches a face, and what sun and warm surfaces add.

For cabins that can't be cooled as a room. All arguments broadcast; scalars give scalars.
"""

import json
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.words.defaults import Default
from vehicles.physics.arrays import BoolArray, FloatArray, answer, floats
from vehicles.physics.sun import sin_deg

if TYPE_CHECKING:
    from scipy.interpolate import RegularGridInterpolator

SEATED_SHARE = 0.696
"""Share of a seated body's skin that exchanges radiation with what is around it."""
RADIANT_FILM_W_M2K = 6.012
"""Radiation of a body in the solar model of ASHRAE Standard 55."""
LONG_WAVE_ABSORPTANCE = 0.95
BODY_RADIANT_FILM_W_M2K = 4.7
"""Linear radiative film of a person, for the operative temperature."""
STILL_AIR_FILM_W_M2K = 3.1
KELVIN = 273.15


@cache
def _data() -> dict[str, Any]:
    read: dict[str, Any] = json.loads(
        (Path(__file__).parent / "data" / "spot.json").read_text(encoding="utf-8")
    )
    return read


@cache
def spot_defaults() -> dict[str, Default]:
    """The values that stand in where a car has none, by key."""
    return {row["key"]: Default(**row) for row in _data()["defaults"]}


def _left(
    free_area_m2: ArrayLike, distance_m: ArrayLike, constant: ArrayLike
) -> tuple[FloatArray, BoolArray]:
    """K·√A0/x and where it can be given."""
    area, x, k = np.broadcast_arrays(floats(free_area_m2), floats(distance_m), floats(constant))
    valid: BoolArray = (area > 0) & np.isfinite(area) & (x > 0) & np.isfinite(x) & (k > 0) & np.isfinite(k)
    return np.where(valid, k, 1.0) * np.sqrt(np.where(valid, area, 1.0)) / np.where(valid, x, 1.0), valid


JET_SENTENCE = "A jet needs a free area, a distance and a constant above zero, and a velocity not below zero."


def jet_velocity_m_s(
    outlet_m_s: ArrayLike, free_area_m2: ArrayLike, distance_m: ArrayLike, constant: ArrayLike
) -> FloatArray:
    """Air speed on the axis of a vent's jet at a distance.

    Formula: V_x/V_0 = K·√A_0/x, and V_x = V_0 nearer than K·√A_0, where the core still runs at full speed
    Parameters: outlet_m_s V_0, mean velocity in the free area, not negative; free_area_m2 A_0, above 0;
        distance_m x, above 0; constant K of the vent, on its free area
    Returns: m/s
    Validity: on the axis of a free jet aimed at the point, in still air, down to about 0.25 m/s; wind, a
        louvre set aside, or a hand in the way take it. Cold air also sinks a little on its way
    Source: ASHRAE Handbook Fundamentals, Space Air Diffusion (ch. 20), eq. 4
    Check: ch. 20 Example 1 (throw); 57 mm, 10 m/s, at 0.7 m: 2.5 to 3.6 m/s
    """
    v0 = floats(outlet_m_s)
    left, valid = _left(free_area_m2, distance_m, constant)
    return answer(v0 * np.minimum(left, 1.0), valid & (v0 >= 0) & np.isfinite(v0), JET_SENTENCE)


def jet_temperature_c(
    vent_c: ArrayLike,
    ambient_c: ArrayLike,
    free_area_m2: ArrayLike,
    distance_m: ArrayLike,
    constant: ArrayLike,
    temperature_share: ArrayLike,
) -> FloatArray:
    """Temperature on the axis of a vent's jet at a distance.

    Formula: (t_x − t_a)/(t_0 − t_a) = c·K·√A_0/x, at most 1, where the core has not mixed yet
    Parameters: vent_c t_0 and ambient_c t_a (the air the jet draws in) in °C; free_area_m2, distance_m, constant
        as for the velocity; temperature_share c, 0.8, above 0 and at most 1
    Returns: °C
    Validity: as for the velocity; the jet's moisture mixes alike
    Source: ASHRAE Handbook Fundamentals ch. 20 (the share 0.8 from memory)
    Check: 57 mm, 10 m/s, 8 °C into 35 °C air, at 0.7 m: 27 to 30 °C
    """
    t0, ta, share = floats(vent_c), floats(ambient_c), floats(temperature_share)
    left, valid = _left(free_area_m2, distance_m, constant)
    valid = valid & np.isfinite(t0) & np.isfinite(ta) & (share > 0) & (share <= 1)
    sentence = f"{JET_SENTENCE} A temperature share lies above 0, up to 1."
    return answer(ta + (t0 - ta) * np.minimum(share * left, 1.0), valid, sentence)


def jet_reach_m(
    outlet_m_s: ArrayLike, free_area_m2: ArrayLike, velocity_m_s: ArrayLike, constant: ArrayLike
) -> FloatArray:
    """How far from the vent its jet still has a velocity.

    Formula: x = K·V_0·√A_0/V_x
    Parameters: outlet_m_s V_0, above 0; free_area_m2 A_0, above 0; velocity_m_s V_x, above 0 and at most V_0;
        constant K
    Returns: m
    Validity: as for the velocity; below about 0.25 m/s the handbook takes 30 % off
    Source: ASHRAE Handbook Fundamentals ch. 20, eq. 5
    Check: ch. 20 Example 1: 0.3 m³/s through 0.096 m² reach 22, 11, 7 m with 0.25, 0.5, 0.75 m/s
    """
    v0, vx = np.broadcast_arrays(floats(outlet_m_s), floats(velocity_m_s))
    possible = (vx > 0) & (vx <= v0) & np.isfinite(v0)
    left, valid = _left(free_area_m2, 1.0, constant)
    reach = left * v0 / np.where(possible, vx, 1.0)
    return answer(reach, valid & possible, "The velocity asked for must lie above zero and up to the vent's.")


@cache
def _projected() -> "RegularGridInterpolator":
    # it brings scipy's optimisers along, which a web worker has no use for
    from scipy.interpolate import RegularGridInterpolator

    table = _data()["projected_share"]
    axes = (floats(table["altitude_deg"]), floats(table["sun_from_front_deg"]))
    return RegularGridInterpolator(axes, floats(table["share"]).T)


def projected_share(sun_altitude_deg: ArrayLike, sun_from_front_deg: ArrayLike) -> FloatArray:
    """Share of a seated person's skin that the sun sees.

    Formula: bilinear in the table by altitude and by the angle between the sun and the way the person faces
    Parameters: sun_altitude_deg 0 to 90; sun_from_front_deg 0 (sun ahead) to 180 (from behind)
    Returns: share, 0.15 to 0.33
    Validity: seated
    Source: ASHRAE Standard 55-2020 appendix C
    Check: the validation table of appendix C
    """
    altitude, front = np.broadcast_arrays(floats(sun_altitude_deg), floats(sun_from_front_deg))
    valid = (altitude >= 0) & (altitude <= 90) & (front >= 0) & (front <= 180)
    points = np.stack([np.where(valid, altitude, 0.0), np.where(valid, front, 0.0)], axis=-1)
    share = _projected()(points).reshape(altitude.shape)
    return answer(share, valid, "The sun stands from 0 to 90° high and from 0 to 180° off the front.")


def sun_field_w_m2(
    *,
    beam_w_m2: ArrayLike,
    diffuse_w_m2: ArrayLike,
    sun_altitude_deg: ArrayLike,
    sun_from_front_deg: ArrayLike,
    transmittance: ArrayLike,
    exposed_share: ArrayLike,
    sky_share: ArrayLike,
    absorptance: ArrayLike,
    ground_reflectance: ArrayLike,
) -> FloatArray:
    """Sunshine that lap, torso and face take up, over the whole skin.

    Formula: E = f_eff·τ·(f_p·f_bes·I_b + f_svv/2·I_d + f_svv/2·ρ·(I_b·sin β + I_d)); field = E·α/0.95
    Parameters: beam_w_m2 I_b (normal) and diffuse_w_m2 I_d (horizontal), not negative; sun_altitude_deg β;
        sun_from_front_deg; transmittance τ of what the sun passes (1: open); exposed_share f_bes, of the body
        that is in the sun; sky_share f_svv, of the sky vault that is seen; absorptance α of clothes and skin;
        ground_reflectance ρ; shares from 0 to 1
    Returns: effective radiant field, W per m² of skin
    Validity: seated person, f_eff = 0.696
    Source: ASHRAE Standard 55-2020 appendix C
    Check: five rows of the validation table of appendix C
    """
    beam, diffuse = floats(beam_w_m2), floats(diffuse_w_m2)
    shares = [floats(v) for v in (transmittance, exposed_share, sky_share, absorptance, ground_reflectance)]
    tau, exposed, sky, alpha, ground = shares
    valid = (beam >= 0) & np.isfinite(beam) & (diffuse >= 0) & np.isfinite(diffuse)
    for share in shares:
        valid = valid & (share >= 0) & (share <= 1)
    direct = projected_share(sun_altitude_deg, sun_from_front_deg) * exposed * beam
    scattered = sky / 2 * (diffuse + ground * (beam * sin_deg(sun_altitude_deg) + diffuse))
    field = SEATED_SHARE * tau * (direct + scattered) * alpha / LONG_WAVE_ABSORPTANCE
    return answer(field, valid, "Sunshine can't be negative, and shares lie from 0 to 1.")


def sun_rise_k(field_w_m2: ArrayLike) -> FloatArray:
    """What sunshine on a person is worth as warmer surroundings.

    Formula: Δt_r = field/(f_eff·h_r), f_eff = 0.696, h_r = 6.012 W/m²K
    Parameters: field_w_m2, effective radiant field, not negative
    Returns: rise of the mean radiant temperature, K
    Validity: seated
    Source: ASHRAE Standard 55-2020 appendix C
    Check: five rows of the validation table of appendix C
    """
    field = floats(field_w_m2)
    rise = field / (SEATED_SHARE * RADIANT_FILM_W_M2K)
    return answer(rise, (field >= 0) & np.isfinite(field), "A radiant field of the sun can't be negative.")


def inner_surface_c(
    beyond_c: ArrayLike, inside_c: ArrayLike, u_w_m2k: ArrayLike, inside_film_w_m2k: ArrayLike
) -> FloatArray:
    """Temperature of the inner face of a roof, canvas, pane or panel.

    Formula: t_i = t_in + U/h_i·(t_beyond − t_in)
    Parameters: beyond_c, sol-air temperature of a surface in the sun or the temperature beyond it, °C;
        inside_c, °C; u_w_m2k, from there to the inside air, above 0 and at most the film; inside_film_w_m2k
    Returns: °C
    Validity: steady; light that passes the surface is left out here and counted on the person
    Source: Incropera et al. ch. 3; ASHRAE Handbook Fundamentals ch. 18 (sol-air)
    Check: as warm as the inside where U is nothing, as beyond where the film is all
    """
    beyond, inside, u, film = (floats(v) for v in (beyond_c, inside_c, u_w_m2k, inside_film_w_m2k))
    valid = (u >= 0) & (film > 0) & (u <= film) & np.isfinite(beyond) & np.isfinite(inside)
    share = u / np.where(film > 0, film, 1.0)
    return answer(
        inside + share * (beyond - inside), valid, "A U value lies between zero and the inside film."
    )


def mean_radiant_c(surface_c: ArrayLike, area_m2: ArrayLike) -> FloatArray:
    """Mean radiant temperature of what is around a person.

    Formula: T_r⁴ = Σ F·T⁴ with T in K, and as view factor F the share of each surface in the whole area
    Parameters: surface_c and area_m2 of the surfaces along the last axis, °C and m² above 0
    Returns: °C
    Validity: a small room seen alike from its middle; the roof right above a head counts for more
    Source: ISO 7726 annex B; shares of area as view factors are an estimate
    Check: surfaces of one temperature give that temperature
    """
    t, area = np.broadcast_arrays(floats(surface_c), floats(area_m2))
    valid = np.all((area > 0) & np.isfinite(area) & (t > -KELVIN), axis=-1)
    weight = np.where(area > 0, area, 1.0)
    fourth = (weight * (t + KELVIN) ** 4).sum(axis=-1) / weight.sum(axis=-1)
    return answer(fourth**0.25 - KELVIN, valid, "Surfaces need areas above zero and temperatures.")


def operative_c(air_c: ArrayLike, radiant_c: ArrayLike, velocity_m_s: ArrayLike) -> FloatArray:
    """What moving air and warm surroundings feel like together.

    Formula: t_o = (h_c·t_air + h_r·t_r)/(h_c + h_r), h_c = max(3.1, 8.3·V^0.6), h_r = 4.7 W/m²K
    Parameters: air_c at the face and radiant_c (with the sun's rise) in °C; velocity_m_s, not negative
    Returns: °C
    Validity: seated person; h_c is published up to 4 m/s and for the whole body, here it is used for the face
        and chest that the jet meets
    Source: ASHRAE Handbook Fundamentals ch. 9, operative temperature and films of a seated person in moving air
        (numbers from memory)
    Check: between air and surroundings, nearer the air the faster it moves
    """
    air, radiant, v = (floats(x) for x in (air_c, radiant_c, velocity_m_s))
    valid = (v >= 0) & np.isfinite(v) & np.isfinite(air) & np.isfinite(radiant)
    film = np.maximum(STILL_AIR_FILM_W_M2K, 8.3 * np.where(valid, v, 1.0) ** 0.6)
    felt = (film * air + BODY_RADIANT_FILM_W_M2K * radiant) / (film + BODY_RADIANT_FILM_W_M2K)
    return answer(felt, valid, "A face needs a temperature and a velocity that is not negative.")
