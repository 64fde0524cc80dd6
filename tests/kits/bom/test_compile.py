"""A position or a step that can't be judged is told at its place, and all others are judged."""

from dataclasses import replace

from kits.bom import compile as compiling
from kits.bom.compile import compile_kit
from tests.kits.bom.sample import KIT, PARTS


def broken_at(monkeypatch, name, is_it):
    """Let a check break at one row."""
    real = getattr(compiling, name)

    def check(row, *rest):
        if is_it(row):
            raise ZeroDivisionError("a fault of our own")
        return real(row, *rest)

    monkeypatch.setattr(compiling, name, check)


def test_a_position_that_can_not_be_judged_is_told_and_spoils_no_other(guarding, monkeypatch):
    whole = compile_kit(replace(KIT, positions=KIT.positions[1:]), PARTS).findings
    first = KIT.positions[0]
    broken_at(monkeypatch, "coverage_findings", lambda p: p.number == first.number)
    found = {f.where: f for f in compile_kit(KIT, PARTS).findings if f.code == "not-worked-out"}
    (told,) = found.values()
    assert told.where == f"position:{first.number}"
    assert told.severity == "blocks"
    assert told.sentence.startswith(
        f"Who gets what in position {first.number} {first.name} could not be worked out (log "
    )
    places = {f.where.partition("/")[0] for f in whole if f.where.startswith("position:")}
    assert places <= {f.where.partition("/")[0] for f in compile_kit(KIT, PARTS).findings}


def test_a_step_that_can_not_be_judged_is_told_in_the_cars_that_have_it(guarding, monkeypatch):
    step = KIT.steps[0]
    broken_at(monkeypatch, "step_findings", lambda s: s.key == step.key)
    kit = compile_kit(KIT, PARTS)
    (told,) = [f for f in kit.findings if f.code == "not-worked-out"]
    assert (told.where, told.severity) == (f"step:{step.key}", "blocks")
    assert set(kit.in_steps) == {s.key for s in KIT.steps}
