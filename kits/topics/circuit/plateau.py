"""What the newest filling in steps says of the charge: the plateau, beside the charge that is recorded."""

from collections.abc import Iterator
from dataclasses import dataclass

from kits.bom.mending import new_row
from kits.bom.resolved import Finding
from kits.sizing.gas.plateau import Plateau, Trial, plateau_of
from kits.topics.context import Context
from kits.topics.figure import Figure, Line, Picture, Spot, figure, given
from vehicles.physics.quantities import in_unit


@dataclass(frozen=True)
class Told:
    """What the charge's topic tells of a trial; nothing where there is none."""

    words: str = ""
    figures: tuple[Figure, ...] = ()
    pictures: tuple[Picture, ...] = ()


def plateau_told(context: Context) -> Told:
    """The newest trial: its charge, or why it gives none, and its picture."""
    if not context.trials:
        return Told()
    trial = context.trials[0]
    found, refusal = trial.read()
    if found is None:
        return Told(f" {_none(trial, refusal)}", (_figure(trial, None),), (_picture(trial, None),))
    words = (
        f" Filled in steps in trial {trial.code}, the plateau starts at {in_unit('g', found.start_g)}: the"
        f" charge is {in_unit('g', found.charge_g)} ± {found.tolerance_g:g} g."
    )
    return Told(words, (_figure(trial, found),), (_picture(trial, found),))


def _figure(trial: Trial, found: Plateau | None) -> Figure:
    first, last = trial.rows[0], trial.rows[-1]
    return figure(
        f"Charge by trial {trial.code}", "g", found.charge_g if found else None, plateau_of,
        given("Steps read", "", f"{len(trial.rows)}", "measured", "charge"),
        given("From", "g", first.added_g, "measured", "charge"),
        given("To", "g", last.added_g, "measured", "charge"),
    )  # fmt: skip


def _none(trial: Trial, refusal: str) -> str:
    return f"Trial {trial.code} gives no charge. {refusal}"


def plateau_remarks(context: Context) -> Iterator[Finding]:
    """Where the newest trial gives no charge, another than is recorded, or shows too little reserve."""
    if not context.trials:
        return
    trial = context.trials[0]
    found, refusal = trial.read()
    if found is None:
        mend = new_row("Plateau steps", "charge_g")
        yield Finding("plateau-none", "warns", "charge", _none(trial, refusal), mend)
        return
    recorded_g = context.kit.charge.charge_g
    if recorded_g is not None and abs(recorded_g - found.charge_g) > found.tolerance_g:
        sentence = (
            f"Trial {trial.code} gives {in_unit('g', found.charge_g)} ± {found.tolerance_g:g} g, recorded"
            f" are {in_unit('g', recorded_g)}: record the trial's charge, or say what is wrong with it."
        )
        yield Finding("plateau-charge", "warns", "charge", sentence)
    if found.is_reserve_held is False:
        sentence = (
            f"In trial {trial.code} the receiver is full at {in_unit('g', found.end_g)}, before"
            f" {in_unit('g', found.high_g)} are in: it holds too little reserve, take a larger one."
        )
        yield Finding("plateau-short", "warns", "charge", sentence)


def _picture(trial: Trial, found: Plateau | None) -> Picture:
    grams = tuple(float(row.added_g) for row in trial.rows)
    lines = (
        Line("high side, bar g", grams, tuple(float(r.head_bar_g) for r in trial.rows), "main", dots=True),
        Line("vents, °C", grams, tuple(float(r.vent_c) for r in trial.rows), "other", dots=True),
        Line("subcooling, K", grams, tuple(float(r.subcooling_k) for r in trial.rows), "other", dots=True),
    )
    words, spots = "The readings never stand still together.", tuple[Spot, ...]()
    if found is not None:
        first, last = (in_unit("g", g) for g in (found.start_g, found.end_g))
        words = (
            f"From {first} to {last} subcooling, high side and vents stand still; the charge is"
            f" {in_unit('g', found.charge_g)}."
        )
        spots = (
            Spot("plateau starts", found.start_g, found.head_bar_g),
            Spot("charge", found.charge_g, found.head_bar_g),
        )
    return Picture(
        "plateau", f"Filling in steps, trial {trial.code}", words, "refrigerant in the plant, g",
        y_label="bar g, °C and K", lines=lines, spots=spots,
    )  # fmt: skip
