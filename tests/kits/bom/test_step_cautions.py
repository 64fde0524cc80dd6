"""A caution is true where it stands: of a live plant nothing says that it was proved dead."""

from dataclasses import replace

import pytest

from kits.bom.step_cautions import caution_findings, is_never_alone, signed_by_two
from tests.kits.bom.asked_steps import answering
from tests.kits.bom.sample import KIT, only, resolved, step, with_step

ELECTRIC = frozenset({"refrigerant", "high voltage", "electric drive", "wiring"})
BELT = frozenset({"refrigerant", "engine", "wiring", "belt"})
PLACES = (
    ("battery-off", 20), ("hv-off", 30), ("hv-insulation", 60), ("battery-on", 70), ("charge", 80), ("hv-on", 90),
)  # fmt: skip


def told(caution, order, involves):
    """What is found of a caution at a place among the steps that change the state."""
    wanted = [
        (code, place) for code, place in PLACES if "high voltage" in involves or not code.startswith("hv-")
    ]
    steps = [answering(step(code.upper(), place, ""), code, involves) for code, place in wanted]
    steps.append(replace(step("HERE", order, "wire"), standard_caution=caution))
    return [
        f for f in caution_findings(sorted(steps, key=lambda s: s.order), involves) if f.where == "step:HERE"
    ]


@pytest.mark.parametrize(
    ("caution", "order", "involves", "is_true"),
    [
        ("hv-dead", 25, ELECTRIC, False),
        ("hv-dead", 40, ELECTRIC, True),
        ("hv-dead", 95, ELECTRIC, False),
        ("hv-live", 25, ELECTRIC, True),
        ("hv-live", 40, ELECTRIC, False),
        ("hv-live", 95, ELECTRIC, True),
        ("hv-dead", 40, BELT, False),
        ("battery-off-generator", 25, BELT, True),
        ("battery-off-generator", 15, BELT, False),
        ("battery-off-generator", 75, BELT, False),
        ("battery-off-generator", 40, ELECTRIC, False),
        ("battery-off-converter", 40, ELECTRIC, True),
        ("battery-off-converter", 40, BELT, False),
        ("refrigerant", 40, BELT, False),
        ("refrigerant", 85, BELT, True),
        ("open-circuit", 40, BELT, True),
        ("open-circuit", 85, BELT, False),
        ("open-circuit-burns", 40, BELT, False),
        ("open-circuit-burns", 40, BELT | {"burning gas"}, True),
        ("moving-belts", 40, ELECTRIC, False),
        ("lifted", 40, ELECTRIC, True),
    ],
)
def test_a_caution_stands_only_where_it_is_true(caution, order, involves, is_true):
    findings = told(caution, order, involves)
    assert [(f.code, f.severity) for f in findings] == [("caution-untrue", "blocks")] * (not is_true)


@pytest.mark.parametrize(
    ("caution", "order", "involves", "says"),
    [
        ("hv-dead", 95, ELECTRIC, "the high voltage is live here"),
        ("refrigerant", 40, BELT, "there is no gas in the circuit yet"),
        ("battery-off-generator", 40, ELECTRIC, "this installation has no engine"),
        ("battery-off-generator", 75, BELT, "no step before it takes the battery off"),
    ],
)
def test_the_finding_says_what_is_true_there(caution, order, involves, says):
    (finding,) = told(caution, order, involves)
    assert says in finding.sentence
    assert (finding.mend.sheet, finding.mend.field) == ("Steps", "standard_caution")


def test_a_step_prints_the_caution_of_its_pattern_its_own_and_its_own_words():
    kit = with_step("PT", caution="Mind the dog.")
    text = next(s for s in resolved(kit).steps if s.key == "PT").caution
    assert text.startswith("Dry nitrogen with a regulator only") and text.endswith("Mind the dog.")
    other = with_step("WIRE", standard_caution="lifted")
    assert "pads under the frame" in next(s for s in resolved(other).steps if s.key == "WIRE").caution


def test_of_a_gas_that_burns_the_charge_says_so():
    def caution(gas):
        kit = replace(KIT, settings={**KIT.settings, "refrigerant": gas})
        return next(s for s in resolved(kit).steps if s.key == "CH").caution

    assert "R-1234yf burns" in caution("R-1234yf")
    assert "burns" not in caution("R-134a")


def test_a_caution_that_is_not_true_blocks_the_kit():
    finding = only(resolved(with_step("WIRE", standard_caution="hv-dead")), "caution-untrue")
    assert finding.where == "step:WIRE"


@pytest.mark.parametrize(
    ("code", "caution", "alone"),
    [
        ("hv-off", "", True),
        ("charge", "", False),
        ("", "hv-dead", True),
        ("", "refrigerant", False),
        ("", "", False),
    ],
)
def test_nobody_is_alone_at_high_voltage(code, caution, alone):
    held = replace(step("X", 1, "wire"), pattern=code, standard_caution=caution)
    assert is_never_alone(held) is alone
    assert signed_by_two(held) is (alone or code == "charge")
