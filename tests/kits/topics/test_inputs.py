"""A figure's inputs are what its calculation was called with, and the figure is what came of that call."""

import importlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest

from kits.sizing.cabin import spot
from kits.topics.context import Context
from kits.topics.every import calculations_of, topic_of, topics_of
from kits.topics.figure import Figure, figure, given
from tests.kits.exchange.demonstration.world import World
from tests.kits.topics.calls import Call, recorded
from tests.kits.topics.contexts import contexts, heating_context
from tests.kits.topics.known_inputs import EVERY, KNOWN
from tests.kits.topics.shown import NOT_CALLED, RESULT, differing

# Where calculations look up what is assumed.
LOOK_UPS = (
    "kits.sizing.electrics.battery:battery_constants",
    "kits.sizing.mechanics.belt:belt_constants",
    "kits.sizing.words.defaults:default_value",
    "kits.sizing.electrics.electrics:electrics_constants",
    "kits.sizing.mechanics.fasteners:fastener_constants",
    "vehicles.heatload.defaults:default_value",
)


def functions(names):
    """The functions by their names ("module:name")."""
    found = {}
    for name in names:
        module, _, function = name.partition(":")
        found[name] = getattr(importlib.import_module(module), function)
    return found


class Known(dict):
    """The labels that a calculation's figures may show beside its arguments."""

    def __contains__(self, label: object) -> bool:
        return super().__contains__(label) or (
            super().__contains__(EVERY) and label not in (RESULT, NOT_CALLED)
        )


def differences(context: Context, calls: dict[str, list[Call]]) -> Iterator[tuple[str, str, str, str]]:
    """What is shown and was not gone in: topic, calculation, label, and the figure's label."""
    for one in calculations_of(context):
        for made in calls.values():
            made.clear()
        topic = topic_of(context, one.code)
        others = [call for name, made in calls.items() if name not in LOOK_UPS for call in made]
        for shown in topic.figures if topic else ():
            known = Known(KNOWN.get(shown.function, {}))
            for label in differing(shown, calls[shown.function], others, known):
                yield topic.code, shown.function, label, shown.label


@pytest.fixture(scope="module")
def told(world: World) -> list[tuple[str, str, str, str]]:
    whole = [*contexts(world), *(heating_context(world, key) for key in world.heaters)]
    # what a filling in steps gives is read off its rows, and counts them
    whole = [replace(context, trials=()) for context in whole]
    # what is named by any fitment of each kit
    kits = {context.kit.kit: context for context in whole}
    named = {
        shown.function for context in kits.values() for topic in topics_of(context) for shown in topic.figures
    }
    assert len(whole) > 25 and len(named) > 70
    with recorded(functions(sorted({*named, *KNOWN, *LOOK_UPS}))) as calls:
        return [one for context in whole for one in differences(context, calls)]


def test_every_input_and_every_figure_went_into_its_calculation_or_came_out_of_it(told) -> None:
    wrong = [one for one in told if one[2] not in Known(KNOWN.get(one[1], {}))]
    assert Counter(one[:3] for one in wrong) == {}, wrong[:5]


def test_what_is_known_to_differ_does(told) -> None:
    differ = {(function, label) for _, function, label, _ in told}
    listed = {(function, label) for function, labels in KNOWN.items() for label in labels if label != EVERY}
    whole = {function for function, labels in KNOWN.items() if EVERY in labels}
    assert listed - differ == set()
    assert whole - {function for function, _ in differ} == set()


def reach(area_m2: float, shown_cm2: float, told_m: float | None = None) -> Figure:
    """A figure that shows an area, made from another one or not."""
    far = float(spot.jet_reach_m(8.0, area_m2, 1.0, 6.0))
    inputs = (given("speed", "m_s", 8.0, "x"), given("area", "cm2", shown_cm2, "x"))
    return figure("Reach", "m", far if told_m is None else told_m, spot.jet_reach_m, *inputs)


@pytest.mark.parametrize(
    ("shown_cm2", "told_m", "found"),
    [(20.0, None, []), (20.4, None, ["Area"]), (20.0, 0.5, [RESULT]), (30.0, 0.5, [RESULT, "Area"])],
)
def test_a_wrong_input_or_figure_is_caught(shown_cm2, told_m, found) -> None:
    with recorded({"reach": spot.jet_reach_m}) as calls:
        shown = reach(20e-4, shown_cm2, told_m)
        assert differing(shown, calls["reach"], []) == found
        assert differing(shown, [], []) == [NOT_CALLED]
