"""The trials of a fitment, and what its page shows beside them."""

from dataclasses import dataclass
from datetime import date

from kits.fitment.models import Fitment, PlateauStep
from kits.fitment.plateau.bridge import grouped, trial_of
from kits.fitment.queries import Sheet, fitment_sheet
from kits.sizing.gas.plateau import Plateau


@dataclass(frozen=True)
class ReadTrial:
    """A trial with its rows as they stand, its plateau, or why it shows none."""

    code: str
    steps: tuple[PlateauStep, ...]
    plateau: Plateau | None
    refusal: str
    counts: bool = False
    """whether the charge that counts is this trial's"""


@dataclass(frozen=True)
class PlateauPage:
    """The fitment with its trials, the newest first."""

    sheet: Sheet
    trials: tuple[ReadTrial, ...]

    @property
    def fitment(self) -> Fitment:
        """The fitment the trials are of."""
        return self.sheet.fitment

    @property
    def prefill_ml(self) -> float | None:
        """The oil that its compressor comes with, ml."""
        held = self.sheet.kit.plant.get("compressor")
        value = held.data.get("oil_prefill_ml") if held else None
        return None if value is None else float(value)

    def named(self, code: str) -> ReadTrial | None:
        """The trial of this name."""
        return next((trial for trial in self.trials if trial.code.casefold() == code.casefold()), None)


def plateau_page(kit: str, line: str, variant: str, on: date) -> PlateauPage | None:
    """The fitment with its trials; None when there is no such fitment."""
    sheet = fitment_sheet(kit, line, variant, on)
    if sheet is None:
        return None
    held = sheet.kit.charge
    source = held.charge_origin.source if held.charge_origin else ""
    trials = (_read(steps, held.charge_g, source) for steps in grouped(sheet.fitment.plateau_steps.all()))
    return PlateauPage(sheet, tuple(trials))


def source_of(code: str) -> str:
    """How the source of a charge begins that was recorded from a trial."""
    return f"trial {code}: "


def _read(steps: tuple[PlateauStep, ...], charge_g: float | None, source: str) -> ReadTrial:
    trial = trial_of(steps)
    found, refusal = trial.read()
    counts = found is not None and found.charge_g == charge_g and source.startswith(source_of(trial.code))
    return ReadTrial(trial.code, steps, found, refusal, counts)
