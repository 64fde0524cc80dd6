"""What the pages of steps fetch: each step with what belongs to it, what is wrong, and its words in one car."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import groupby

from kits.bom.grid import built_cars
from kits.bom.models import Kit
from kits.bom.queries import KitSheet, kit_sheet
from kits.bom.resolved import Finding, ResolvedKit
from kits.bom.resolved import Step as WrittenStep
from kits.bom.step_models import KitStep
from kits.editing.steps.asked import Held, Lacking, lacking
from kits.exchange.values import fold
from kits.fitment.bridge import Catalogue, FitmentRow, load_catalogue
from vehicles.records.guard import Fault, guarded

MOST_CARS = 100


@dataclass(frozen=True)
class StepView:
    """A step as it is stored, its words in the chosen car, and what is wrong with it."""

    row: KitStep
    place: int
    written: WrittenStep | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Car:
    """A car to read the steps for."""

    line: str
    code: str
    name: str

    @property
    def param(self) -> str:
        """How it stands in an address."""
        return f"{self.line}|{self.code}"


@dataclass(frozen=True)
class StepsPage:
    """All steps of a kit in their order."""

    kit: KitSheet
    steps: tuple[StepView, ...]
    cars: tuple[Car, ...]
    car: Car | None = None

    @property
    def zones(self) -> list[tuple[str, list[StepView]]]:
        """The steps by zone, as long as one follows the other in it."""
        return [(zone, list(run)) for zone, run in groupby(self.steps, key=lambda s: s.row.zone)]

    @property
    def minutes_min(self) -> float:
        """The time of the steps shown, or of those of the car."""
        rows = (s.row for s in self.steps if self.car is None or s.written)
        return sum(row.minutes_min or 0.0 for row in rows)

    @property
    def count(self) -> int:
        """How many steps there are, or apply to the car."""
        return sum(1 for s in self.steps if self.car is None or s.written)


def steps_page(kit: str, car: str, on: date) -> StepsPage | None:
    """The steps of a kit, read for the car asked for ("line|variant") when there is one; None without a kit."""
    sheet = kit_sheet(kit)
    if sheet is None:
        return None
    cars = tuple(Car(c.line, c.code, c.name) for c in built_cars(sheet.spec.lines))
    chosen = next((c for c in cars if c.param == car), None)
    resolved = _resolved(sheet.kit.code, chosen, on) if chosen else None
    findings = tuple(dict.fromkeys((*sheet.findings, *(resolved.findings if resolved else ()))))
    steps = tuple(_views(in_order(sheet.kit.steps.all()), resolved, findings))
    return StepsPage(sheet, steps, cars, chosen)


@dataclass(frozen=True)
class AskedPage:
    """What safety asks of a kit's steps and its cars lack.

    looked_at: of how many of its cars that is known; faults: of cars among them whose kit could not be resolved.
    """

    kit: Kit
    rows: tuple[KitStep, ...]
    lacking: Lacking
    looked_at: int
    cars_count: int
    faults: tuple[Fault, ...] = ()

    @property
    def held(self) -> list[Held]:
        """The steps there are, as far as a new one is placed by them."""
        return [Held(row.key, row.step_order, row.zone, row.pattern) for row in self.rows]


def asked_page(kit: str, on: date) -> AskedPage | None:
    """What the kit's steps lack in its cars, of the first hundred where there are more; None without a kit."""
    found = Kit.objects.filter(code=kit).first()
    if found is None:
        return None
    fitments = found.fitments.order_by("variant__line__code", "variant__code")
    keys = list(fitments.values_list("kit__code", "variant__line__code", "variant__code")[:MOST_CARS])
    catalogue = load_catalogue(keys, on)
    resolved = [(row.variant.name, _resolved_or_fault(catalogue, row)) for row in catalogue.fitments]
    cars = [(name, told) for name, told in resolved if not isinstance(told, Fault)]
    faults = tuple(told for _, told in resolved if isinstance(told, Fault))
    rows = tuple(in_order(found.steps.all()))
    return AskedPage(found, rows, lacking(cars), len(cars), fitments.count(), faults)


def _resolved_or_fault(catalogue: Catalogue, row: FitmentRow) -> ResolvedKit | Fault:
    """One car's kit; what can't be worked out of it spoils no other car's."""
    return guarded(f"What {row.variant.name} lacks", partial(catalogue.resolve, row))


def _resolved(kit: str, car: Car, on: date) -> ResolvedKit | None:
    catalogue = load_catalogue([(kit, car.line, car.code)], on)
    return catalogue.resolve(catalogue.fitments[0]) if catalogue.fitments else None


def _views(
    rows: Iterable[KitStep], resolved: ResolvedKit | None, findings: Iterable[Finding]
) -> Iterator[StepView]:
    written = {step.key: step for step in resolved.steps} if resolved else {}
    about: dict[str, list[Finding]] = {}
    for finding in findings:
        kind, _, name = finding.where.partition(":")
        if kind in ("step", "reading"):
            about.setdefault(name.rpartition("/")[0] if kind == "reading" else name, []).append(finding)
    for place, row in enumerate(rows, 1):
        yield StepView(row, place, written.get(row.key), tuple(about.get(row.key, ())))


def in_order(rows: Iterable[KitStep]) -> list[KitStep]:
    """The steps in the order of the installation."""
    return sorted(rows, key=lambda row: (row.step_order, row.key))


@dataclass(frozen=True)
class OrderPage:
    """The steps of a kit as a list to put in order."""

    kit: Kit
    rows: tuple[KitStep, ...]

    @property
    def held(self) -> dict[str, int]:
        """The number of each step."""
        return {row.key: row.step_order for row in self.rows}

    @property
    def keys(self) -> list[str]:
        """The keys in their order."""
        return [row.key for row in self.rows]

    def key_of(self, step: str) -> tuple[str, str]:
        """The step's key in its sheet."""
        return f"{fold(self.kit.code)}", f"{fold(step)}"


def order_page(kit: str) -> OrderPage | None:
    """The kit's steps, in two queries; None when there is no such kit."""
    found = Kit.objects.filter(code=kit).first()
    return OrderPage(found, tuple(in_order(found.steps.all()))) if found else None
