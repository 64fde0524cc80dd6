"""People's heat."""

import numpy as np
import pytest

from tests.reference import case, check
from vehicles.heatload.inputs import Seat
from vehicles.heatload.people import people_w, person_w, sensible_share


def skin_area_m2(mass_kg: float, height_m: float) -> float:
    """The area behind the standard person's. Source: DuBois and DuBois, Arch. Intern. Med. 17 (1916) 863."""
    return 0.202 * mass_kg**0.425 * height_m**0.725


@pytest.mark.parametrize("case_id", ["cab-dubois-70-173", "cab-dubois-80-180"])
def test_skin_area_and_heat_of_a_given_rate(case_id: str) -> None:
    one = case("cabin_load.json", case_id)
    o, tolerance = one["outputs"], one["tolerance"]
    area = skin_area_m2(one["inputs"]["mass_kg"], one["inputs"]["height_m"])
    check(area, o["area_m2"], tolerance, "area_m2")
    check(85 * area, o["Q_driver_85_W"], tolerance, "Q_driver_85_W")
    check(55 * area, o["Q_passenger_55_W"], tolerance, "Q_passenger_55_W")


def test_a_driver_works_as_driving_takes_and_a_passenger_sits_still() -> None:
    # ASHRAE Handbook Fundamentals 2021 (SI) ch. 9 Table 4 for a rate, DuBois for a person of 70 kg and 1.73 m
    o = case("cabin_load.json", "cab-metabolic-ashrae")["outputs"]
    skin = float(skin_area_m2(70, 1.73))
    assert o["car_driving_low_W_m2"] * skin < person_w("driver") < o["car_driving_high_W_m2"] * skin
    assert person_w("passenger") == pytest.approx(o["seated_quiet_W_m2"] * skin, rel=0.02)


def test_a_driver_and_a_passenger_give_what_practice_expects() -> None:
    assert 120 <= person_w("driver") <= 140
    assert 100 <= person_w("passenger") <= 115
    assert 0.40 <= 1 - sensible_share(25) <= 0.50


def test_seats_are_taken_in_order() -> None:
    seats = (Seat("a", "driver"), Seat("b", "passenger"), Seat("c", "passenger"))
    assert people_w(seats, 0) == 0
    assert people_w(seats, 1) == person_w("driver")
    assert people_w(seats, 3) == person_w("driver") + 2 * person_w("passenger")


def test_the_warmer_the_cabin_the_more_leaves_as_moisture() -> None:
    share = sensible_share(np.array([-5.0, 18.0, 25.0, 30.0, 34.0, 45.0]))
    assert (np.diff(share) <= 0).all()
    assert share[0] == 0.8
    assert share[-1] == share[-2] == 0
