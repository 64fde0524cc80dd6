"""The heat load over a design day: every hour and eight headings of a car at a site, and the worst of them."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from vehicles.heatload.inputs import ClimateState, LoadPoint
from vehicles.heatload.load import heat_load
from vehicles.heatload.prepare import prepare
from vehicles.physics.arrays import FloatArray, Refusal
from vehicles.physics.design_day import DesignDay, Weather, weather_of_day
from vehicles.physics.sun import HEADINGS_DEG

HOURS = np.arange(1.0, 25.0)
HEADING_WORDS = (
    "north",
    "north-east",
    "east",
    "south-east",
    "south",
    "south-west",
    "west",
    "north-west",
)
"""The eight headings by the compass, in the order of HEADINGS_DEG."""


@dataclass(frozen=True)
class Sweep:
    """Loads of a day: load_w has a row for each hour of the weather and a column for each of the eight headings."""

    weather: Weather
    load_w: FloatArray

    @property
    def worst(self) -> tuple[int, int]:
        """Row and column of the greatest load; of equal ones the first."""
        hour, heading = np.unravel_index(int(np.argmax(self.load_w)), self.load_w.shape)
        return int(hour), int(heading)

    @property
    def worst_w(self) -> float:
        """The greatest load, W."""
        return float(self.load_w[self.worst])

    @property
    def worst_hour_h(self) -> float:
        """The hour of the greatest load, local standard time."""
        return float(self.weather.hour_h[self.worst[0]])

    @property
    def worst_heading(self) -> str:
        """Where the car heads then, in words."""
        return HEADING_WORDS[self.worst[1]]


def design_day_sweep(
    point: LoadPoint, day: DesignDay, cabin_c: float, cabin_w: float, hours: ArrayLike = HOURS
) -> Sweep:
    """The heat load of a car over a design day, for each hour and eight headings.

    Formula: the heat load with outside t_max − f(hour)·range, the day's humidity, and the sun of the hour; the
        heading from the sun is the compass heading less the sun's azimuth
    Parameters: a load point, whose driving and air side are kept; the design day with its site; cabin_c °C and
        cabin_w kg/kg, held all day; hours local standard time, 0 to 24
    Returns: load W by hour and heading; the worst hour, heading and load
    Validity: each hour a steady state; the cabin's humidity held; a clear sky; cooling only
    Source: heat load as at a duty point; ASHRAE Handbook Fundamentals (SI), ch. 14
    Check: no sun at night; mirrored headings of a symmetric car around solar noon; more sun never lowers the load
    """
    if point.climate.is_heating:
        raise Refusal("A sweep of a design day is for cooling, not for a winter point.")
    return sweep_weather(point, day, weather_of_day(day, hours), cabin_c, cabin_w)


def sweep_weather(
    point: LoadPoint, day: DesignDay, weather: Weather, cabin_c: float, cabin_w: float
) -> Sweep:
    """The sweep of given weather at the day's site: all hours and headings in one batch.

    Formula: as `design_day_sweep`
    Parameters: a load point; the design day with its site; the weather by hour; cabin_c, °C, and cabin_w, kg/kg, held
    Returns: load, W, by hour and heading
    Validity: as `design_day_sweep`; a point that lacks something is refused with what it lacks
    Source: as `design_day_sweep`
    Check: each cell is the load of a point of its own
    """
    climates = [
        _climate_at(point.climate, day, weather, hour, heading)
        for hour in range(weather.hour_h.size)
        for heading in HEADINGS_DEG
    ]
    prepared = prepare([replace(point, climate=climate) for climate in climates])
    lacks = next((m.sentence for missing in prepared.missing for m in missing), None)
    if lacks is not None:
        raise Refusal(lacks)
    load = heat_load(prepared, cabin_c, cabin_w).total_w
    return Sweep(weather, load.reshape(weather.hour_h.size, HEADINGS_DEG.size))


def _climate_at(
    climate: ClimateState, day: DesignDay, weather: Weather, hour: int, compass_deg: float
) -> ClimateState:
    """The driving of a duty point in the weather of an hour, headed by the compass."""
    sun = weather.sun
    return replace(
        climate,
        outside_c=float(weather.outside_c[hour]),
        rh=float(weather.rh[hour]),
        altitude_m=day.site.altitude_m,
        beam_normal_w_m2=float(sun.beam_normal_w_m2[hour]),
        diffuse_horizontal_w_m2=float(sun.diffuse_horizontal_w_m2[hour]),
        sun_altitude_deg=float(sun.altitude_deg[hour]),
        heading_deg=float((compass_deg - sun.azimuth_from_north_deg[hour]) % 360),
        ground_reflectance=day.site.ground_reflectance,
    )
