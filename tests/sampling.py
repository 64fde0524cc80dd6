"""Sweeps too long to be walked whole each time: another part of them is walked in every run, all by `make tests-whole`.

Which part follows from the seed that the run prints in its first lines; the same seed takes the same part.
"""

import random
from collections.abc import Callable, Iterable
from typing import TypeVar

import pytest

Case = TypeVar("Case")
Sampled = Callable[[Iterable[Case], int], list[Case]]


def add_option(parser: pytest.Parser) -> None:
    """`--whole` walks what is otherwise sampled."""
    parser.addoption(
        "--whole", action="store_true", help="walk the sweeps whole, of which a run takes a part"
    )


def sampler(config: pytest.Config) -> Sampled:
    """A function that takes some of the cases, in their order; all of them where the run was asked for the whole."""
    seed, whole = config.getoption("randomly_seed", 0), config.getoption("whole")

    def sampled(cases: Iterable[Case], most: int) -> list[Case]:
        every = list(cases)
        if whole or len(every) <= most:
            return every
        taken = random.Random(f"{seed}").sample(range(len(every)), most)
        return [every[at] for at in sorted(taken)]

    return sampled
