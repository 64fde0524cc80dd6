"""What is wrong with a car within its line that no kit can see: chassis numbers, options, a survey not done yet."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from kits.bom.mending import option_of, row
from kits.bom.resolved import Finding
from vehicles.records.terms import Terms


@dataclass(frozen=True)
class Chassis:
    """Chassis numbers: a prefix and the first and last running number, both included."""

    prefix: str
    first: int
    last: int

    def meets(self, other: "Chassis") -> bool:
        """Whether a chassis number lies in both, whatever the capitals of the prefix."""
        same = self.prefix.casefold() == other.prefix.casefold()
        return same and self.first <= other.last and other.first <= self.last

    def __str__(self) -> str:
        return f"{self.prefix}{self.first} to {self.prefix}{self.last}"


@dataclass(frozen=True, kw_only=True)
class LineCar:
    """A variant as its line sees it."""

    code: str
    name: str
    options: Mapping[str, str]
    built_from: date | None = None
    built_until: date | None = None
    to_be_surveyed: bool = False
    chassis: tuple[Chassis, ...] = ()

    def is_built_with(self, other: "LineCar") -> bool:
        """Whether there is a day on which both were built, as far as the days are known."""
        return (self.built_until or date.max) > (other.built_from or date.min) and (
            other.built_until or date.max
        ) > (self.built_from or date.min)


@dataclass(frozen=True)
class Excluded:
    """Options that never occur together: feature -> options."""

    code: str
    reason: str
    options: Mapping[str, frozenset[str]]


def car_findings(car: LineCar, cars: Sequence[LineCar], excluded: Sequence[Excluded]) -> Iterator[Finding]:
    """Findings about one car of a line; ``cars`` are all cars of the line."""
    others = [other for other in cars if other.code != car.code]
    yield from _chassis(car, others)
    yield from _excluded(car, excluded)
    yield from _twins(car, others)
    if car.to_be_surveyed:
        sentence = f"{car.name} is still to be surveyed: its values were taken over from another car."
        yield Finding(
            "car-to-be-surveyed", "warns", "variant", sentence, row("Variants", "to_be_surveyed", car.code)
        )


def _chassis(car: LineCar, others: Sequence[LineCar]) -> Iterator[Finding]:
    for place, own in enumerate(car.chassis):
        mend = row("Chassis", "first", car.code, own.prefix, own.first)
        for other in others:
            for theirs in other.chassis:
                if own.meets(theirs):
                    sentence = (
                        f"Chassis numbers {own} meet those of {other.name} ({theirs}): "
                        "such a car could be either, and would get the wrong kit."
                    )
                    yield Finding("chassis-overlap", "blocks", "variant", sentence, mend)
        for earlier in car.chassis[:place]:
            if own.meets(earlier):
                sentence = f"Chassis numbers {own} meet {earlier} of the same car: one range is enough."
                yield Finding("chassis-twice", "warns", "variant", sentence, mend)


def _excluded(car: LineCar, excluded: Sequence[Excluded]) -> Iterator[Finding]:
    for combination in excluded:
        features = list(combination.options)
        if features and all(car.options.get(f) in combination.options[f] for f in features):
            held = ", ".join(f"{feature} {car.options[feature]}" for feature in features)
            sentence = (
                f"{car.name} has {held}, which the line excludes ({combination.code}: {combination.reason})."
            )
            mend = option_of("Variants", Terms(), sorted(features), car.code)
            yield Finding("car-excluded", "blocks", "variant", sentence, mend)


def _twins(car: LineCar, others: Sequence[LineCar]) -> Iterator[Finding]:
    for other in others:
        if car.options and car.options == other.options and car.is_built_with(other):
            sentence = (
                f"{car.name} has the same options as {other.name} and was built at the same time:"
                " no kit can tell them apart."
            )
            mend = option_of("Variants", Terms(), sorted(car.options), car.code)
            yield Finding("car-twin", "warns", "variant", sentence, mend)
