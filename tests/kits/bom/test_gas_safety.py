"""Which gases burn, by their class."""

from kits.bom.gas_safety import burns, gas_limits, safety_class
from kits.parts.data_models import REFRIGERANTS
from kits.sizing.gas.gases import lower_flammable_limit_kg_m3
from kits.sizing.gas.refrigerant import known_refrigerants


def test_every_gas_of_a_kit_has_a_safety_class_and_one_with_a_flammable_limit_burns() -> None:
    # ISO 817 and ASHRAE 34 (from memory): A1 does not spread a flame, A2L, A2 and A3 do
    expected = {"R-134a": "A1", "R-1234yf": "A2L", "R-152a": "A2", "R-290": "A3", "R-744": "A1"}
    assert {gas: safety_class(gas) for gas in expected} == expected
    for gas in {gas for gas, _ in REFRIGERANTS} | set(known_refrigerants()):
        assert safety_class(gas), gas
        assert burns(gas) is (lower_flammable_limit_kg_m3(gas) is not None), gas
    classes = gas_limits()["safety_class"]
    assert set(classes["values"].values()) <= set(classes["burns"])
    assert [burns(gas) for gas in ("R-290", "R-744", "R-999")] == [True, False, None]
