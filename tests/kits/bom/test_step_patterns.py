"""The file of patterns holds together: what it names exists, and its order can be kept."""

from graphlib import TopologicalSorter

from kits.bom.involved import CONDITIONS
from kits.bom.step_cautions import BATTERY_OFF, GAS, HV_DEAD, HV_LIVE, NO_GAS, cautions
from kits.bom.step_models import LIMITS_FROM, STEP_KINDS
from kits.bom.step_patterns import NUMBER, WRITES, patterns
from kits.bom.step_text import PLACEHOLDER, plain_names


def test_what_a_pattern_names_exists():
    for code, pattern in patterns().items():
        assert pattern.asked in CONDITIONS, code
        assert set(pattern.after) <= set(patterns()), code
        assert pattern.kind in dict(STEP_KINDS), code
        assert pattern.caution in {"", *cautions()}, code
        assert set(pattern.names) <= plain_names(pattern.text), code
        assert "{" not in PLACEHOLDER.sub("", pattern.text), code
        assert pattern.why and pattern.source and pattern.text, code


def test_the_blanks_of_a_pattern_have_codes_of_their_own_and_limits_only_where_a_number_is_written():
    for code, pattern in patterns().items():
        codes = [blank.code for blank in pattern.blanks]
        assert len(set(codes)) == len(codes), code
        for blank in pattern.blanks:
            assert blank.writes in WRITES and blank.asked in {"", *CONDITIONS}, (code, blank.code)
            assert (blank.writes == NUMBER) == bool(blank.unit), (code, blank.code)
            assert blank.limit_from in dict(LIMITS_FROM), (code, blank.code)
            has_limits = blank.low is not None or blank.high is not None
            assert has_limits == (blank.limit_from == "fixed"), (code, blank.code)


def test_what_must_stand_before_what_goes_round_in_no_circle_and_is_the_order_of_the_file():
    order = list(patterns())
    TopologicalSorter({code: pattern.after for code, pattern in patterns().items()}).prepare()
    for code, pattern in patterns().items():
        assert all(order.index(before) < order.index(code) for before in pattern.after), code


def test_gas_and_high_voltage_are_signed_by_a_second_person():
    for code, pattern in patterns().items():
        if pattern.asked == "high voltage" or pattern.kind in ("pressure test", "evacuate", "charge"):
            assert pattern.hold_point and pattern.second_person, code


def test_a_caution_names_states_and_conditions_that_there_are():
    known = CONDITIONS | {HV_LIVE, HV_DEAD, GAS, NO_GAS, BATTERY_OFF}
    for code, caution in cautions().items():
        assert set(caution.holds_while) <= known, code
        assert "{" not in PLACEHOLDER.sub("", caution.text + caution.if_burning), code
