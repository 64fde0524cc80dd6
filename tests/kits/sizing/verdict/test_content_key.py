"""A key moves with everything that an answer is worked out from, and with nothing else."""

import copy
from dataclasses import replace

import pytest

from kits.fitment.bridge import case_of
from kits.sizing.case.case import Case
from kits.sizing.verdict import content_key as module
from kits.sizing.verdict.content_key import NOT_READ, content_key
from kits.sizing.verdict.verdict import size
from vehicles.physics.arrays import Refusal
from vehicles.physics.canonical import stored_of, text_of, value_from, value_of
from vehicles.physics.origin import Kind, Origin

TWIN, DASH = ("V30-TWIN", "V30", "S18L"), ("S4-DASH", "S4", "CP12L")


@pytest.fixture(scope="module")
def cases(world):
    """The case of each fitment that has one, also of those that heat only."""
    held = {key: (f, world.kits[key]) for key, f in world.fitments.items()}
    held |= {key: (heated.fitment, heated.kit) for key, heated in world.heaters.items()}
    found = {key: case_of(fitment, kit)[0] for key, (fitment, kit) in held.items()}
    return {key: case for key, case in found.items() if case is not None}


def test_every_case_of_the_demonstration_comes_back_from_its_text_as_it_was(cases):
    for key, case in cases.items():
        back = value_of(Case, text_of(case))
        assert back == case, key
        assert content_key(back) == content_key(case)
    assert len({content_key(case) for case in cases.values()}) == len(cases)


def places(stored, path=()):
    """The paths of all numbers, truths and texts in a stored value; a mapping's keys are left as they are."""
    if isinstance(stored, dict):
        for name, held in stored.items():
            if name not in NOT_READ:
                yield from places(held, (*path, name))
    elif isinstance(stored, list):
        for i, held in enumerate(stored):
            yield from places(held, (*path, i))
    elif stored is not None:
        yield path


def changed(stored, path):
    """The same with another number, truth or text at one place."""
    found = copy.deepcopy(stored)
    at = found
    for step in path[:-1]:
        at = at[step]
    held = at[path[-1]]
    if isinstance(held, bool):
        at[path[-1]] = not held
    else:
        try:
            at[path[-1]] = repr(float(held) * 1.001 + 0.001).removesuffix(".0")
        except ValueError:
            at[path[-1]] = f"{held}x"
    return found


def test_nothing_that_is_read_is_left_out(cases, sampled):
    for key in (TWIN, DASH):
        stored, whole = stored_of(cases[key]), content_key(cases[key])
        moved = 0
        for path in sampled(places(stored), 80):
            try:
                other = value_from(Case, changed(stored, path))
            except Refusal:
                continue  # a whole number, a day or a kind can't be just anything
            assert content_key(other) != whole, path
            moved += 1
        assert moved > 40


def test_where_numbers_come_from_moves_neither_the_key_nor_the_answer(cases):
    case = cases[DASH]
    other = Origin(Kind.ESTIMATE, source="somebody else", by="N. N.", note="another note")
    car = replace(
        case.car,
        origins=dict.fromkeys(case.car.origins, other),
        loads=tuple(replace(load, origin=other) for load in case.car.loads),
    )
    mounting = replace(case.mounting, air_trial_origin="another bench")
    noted = replace(case, car=car, mounting=mounting)
    assert noted != case
    assert content_key(noted) == content_key(case)
    before, after = size([case, noted])
    assert text_of(before) == text_of(after)


def test_names_that_an_answer_tells_are_in_the_key(cases):
    case = cases[DASH]
    first, *rest = case.duties
    renamed = replace(case, duties=(replace(first, name="Another name"), *rest))
    assert content_key(renamed) != content_key(case)
    assert content_key(replace(case, car=replace(case.car, name="Another car"))) != content_key(case)


def test_the_method_and_the_tables_of_the_gas_are_in_the_key(cases, monkeypatch):
    dash, warm = cases[DASH], next(case for case in cases.values() if case.heats_only)
    before = content_key(dash), content_key(warm)
    with monkeypatch.context() as patch:
        patch.setattr(module, "METHOD", module.METHOD + 1)
        assert not {content_key(dash), content_key(warm)} & {*before}
    monkeypatch.setattr(module, "tables_key", lambda gas: f"{gas} of another CoolProp")
    assert content_key(dash) != before[0]
    assert content_key(warm) == before[1], "it has no gas"
