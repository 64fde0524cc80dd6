"""The whole made-up catalogue in one call: cars, parts, kits, fitments with stored answers."""

from dataclasses import dataclass
from random import Random

from django.db import transaction

from tests.generator.cars import make_cars
from tests.generator.fitments import make_fitments
from tests.generator.kits import make_kits
from tests.generator.parts import make_parts


@dataclass(frozen=True)
class Size:
    """How much is made. Variants spread evenly over the lines; each kit is offered for three lines."""

    variants: int = 2_000
    lines: int = 20
    kits: int = 10
    parts: int = 5_000


REAL = Size()
SMALL = Size(variants=60, lines=4, kits=2, parts=400)


def make_catalogue(size: Size = REAL, seed: int = 1) -> None:
    """Fill an empty database; the same size and seed give the same rows."""
    random = Random(seed)
    with transaction.atomic():
        cars = make_cars(random, size.variants, size.lines)
        parts = make_parts(random, size.parts)
        kits = make_kits(random, size.kits, cars, parts)
        make_fitments(random, kits, cars)
