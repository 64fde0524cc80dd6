"""The trials of a fitment, and what its page shows beside them."""

from dataclasses import dataclass
from datetime import date

from kits.fitment.models import Fitment, PlateauStep
from kits.fitment.plateau.bridge import grouped, trial_of
from kits.fitment.queries import Sheet, fitment_sheet
from kits.sizing.plateau import Plateau


@dataclass(frozen=True)
class ReadTrial:
    """A trial with its rows as they stand, its plateau, or why it shows none."""

    code: str
    steps: tuple[PlateauStep, ...]
    plateau: Plateau | None
    refusal: str


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
        value = held[1].get("oil_prefill_ml") if held else None
        return None if value is None else float(value)

    def named(self, code: str) -> ReadTrial | None:
        """The trial of this name."""
        return next((trial for trial in self.trials if trial.code.casefold() == code.casefold()), None)


def plateau_page(kit: str, line: str, variant: str, on: date) -> PlateauPage | None:
    """The fitment with its trials; None when there is no such fitment."""
    sheet = fitment_sheet(kit, line, variant, on)
    if sheet is None:
        return None
    return PlateauPage(sheet, tuple(_read(steps) for steps in grouped(sheet.fitment.plateau_steps.all())))


def _read(steps: tuple[PlateauStep, ...]) -> ReadTrial:
    trial = trial_of(steps)
    return ReadTrial(trial.code, steps, *trial.read())
