"""The market of a paper: the one asked for, the only one, or a sentence that says what to choose from."""

import pytest

from kits.fitment.market.choice import chosen_market
from vehicles.physics.arrays import Refusal

TWO = {"home": "Home, the slate coast", "US": "United States"}


def test_the_only_market_need_not_be_asked_for_and_none_is_none():
    assert chosen_market({"home": "Home"}, "") == "home"
    assert chosen_market({}, "") == ""


@pytest.mark.parametrize("asked", ["US", "us"])
def test_a_market_is_chosen_by_its_code_whatever_its_letters(asked):
    assert chosen_market(TWO, asked) == "US"


def test_one_of_several_has_to_be_stated():
    with pytest.raises(Refusal, match=r"choose home \(Home, the slate coast\) or US \(United States\)\.$"):
        chosen_market(TWO, "")


@pytest.mark.parametrize("offered", [TWO, {"home": "Home"}, {}])
def test_a_market_in_which_the_kit_is_not_offered_is_refused(offered):
    with pytest.raises(Refusal, match="not offered in the market far for this car: "):
        chosen_market(offered, "far")
