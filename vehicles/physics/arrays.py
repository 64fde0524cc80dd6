"""Array types, and the one rule for bad input: scalars raise a sentence, batches mark the row with NaN."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]


class Refusal(ValueError):
    """A calculation refuses what it is given, in a sentence for people."""


def floats(value: ArrayLike) -> FloatArray:
    """The value as an array of float64 (0-d for a scalar)."""
    return np.asarray(value, dtype=np.float64)


def answer(value: ArrayLike, valid: ArrayLike, sentence: str) -> FloatArray:
    """Give `value` where `valid` holds.

    A scalar that is not valid raises Refusal, a ValueError, with the sentence; in a batch the row becomes NaN. Scalars
    come back as numpy scalars, so that float-like in means float-like out (the declared type is the array's).
    """
    got, ok = np.broadcast_arrays(floats(value), np.asarray(valid, dtype=bool))
    if got.ndim == 0:
        if not ok:
            raise Refusal(sentence)
        return scalar_or_array(got)
    return np.where(ok, got, np.nan)


def scalar_or_array(value: Any) -> FloatArray:
    """0-d arrays become scalars, others pass unchanged."""
    return floats(value)[()]
