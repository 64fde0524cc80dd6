"""A pull-down in words, its numbers such that none reads as met that is not."""

from kits.sizing.verdict.courses import SHOWN_MIN, PullDown
from kits.sizing.words.defaults import default_value


def course_words(one: PullDown) -> str:
    """What a pull-down comes to, and what is asked, in a sentence."""
    goal = default_value("pull_down_goal_c")
    reached = (
        f"the cabin reaches {goal:.0f} °C in {minutes_words(one)} min"
        if one.goal_min is not None
        else f"the cabin is still at {end_words(one)} °C after {SHOWN_MIN:.0f} min, not {goal:.0f} °C"
    )
    asked = f"{default_value('pull_down_goal_min'):.0f} min and {default_value('pull_down_vent_c'):.0f} °C are asked"
    judged = default_value("pull_down_vent_min")
    return (
        f"Pull-down is {'met' if one.is_met else 'not met'}: soaked at {one.soak_c:.0f} °C, {one.duty.name}: "
        f"{reached}, and the vents are at {vents_words(one)} °C after {judged:.0f} min; {asked}."
    )


def whole_words(value: float, asked_key: str) -> str:
    """A number without decimals; with a tenth where it would read as what is asked and is more."""
    asked, text = default_value(asked_key), f"{value:.0f}"
    if value <= asked or text != f"{asked:.0f}":
        return text
    tenth = f"{value:.1f}"
    return tenth if float(tenth) > asked else f"just above {text}"


def end_words(one: PullDown) -> str:
    """The cabin at the end of the course, °C."""
    return whole_words(float(one.course.air_c[-1]), "pull_down_goal_c")


def minutes_words(one: PullDown) -> str:
    """The minutes to the goal."""
    return (
        f"over {SHOWN_MIN:.0f}" if one.goal_min is None else whole_words(one.goal_min, "pull_down_goal_min")
    )


def vents_words(one: PullDown) -> str:
    """The air at the vents when it is judged, °C."""
    return whole_words(one.vent_judged_c, "pull_down_vent_c")
