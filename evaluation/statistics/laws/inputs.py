"""Checks of array-like arguments: the shapes the statistics accept, named once."""

from __future__ import annotations

from numbers import Real
from typing import Any

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import whole

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

# Counts above this are no panel; they would only make exact sums slow and floats inexact.
MOST_ASSESSMENTS = 10_000_000


def is_scalar(value: Any) -> bool:
    """True for one number (also a 0-d array), False for anything with a length."""
    return not isinstance(value, list | tuple) and np.ndim(value) == 0


def counts(name: str, value: Any, low: int = 1) -> Ints:
    """Return one count or a 1-D array of counts as a 1-D int64 array, each in ``low … MOST_ASSESSMENTS``."""
    if is_scalar(value):
        number = value.item() if isinstance(value, np.ndarray) else value
        return np.array([whole(name, number, low, MOST_ASSESSMENTS)], dtype=np.int64)
    raw = _numeric(name, value)
    if raw.ndim != 1:
        raise ArgumentError(f"{name} must be one whole number or a 1-D array of them, not {raw.ndim}-D.")
    wrong = ~((raw == np.floor(raw)) & (raw >= low) & (raw <= MOST_ASSESSMENTS))
    if wrong.any():
        bad = raw[wrong][0].item()
        raise ArgumentError(f"{name} must hold whole numbers from {low} to {MOST_ASSESSMENTS}, not {bad!r}.")
    return raw.astype(np.int64)


def numbers(name: str, value: Any, low: float, high: float) -> Floats:
    """Return numbers of any shape as a float array of that shape, each in ``low … high`` (never NaN)."""
    array = _numeric(name, value).astype(np.float64)
    wrong = ~((array >= low) & (array <= high))  # NaN compares false: it is wrong too
    if wrong.any():
        bad = array[wrong].flat[0].item()
        span = f"{low:g} or more" if high == np.inf else f"from {low:g} to {high:g}"
        raise ArgumentError(f"{name} must be {span}, not {bad!r}.")
    return array


def _numeric(name: str, value: Any) -> npt.NDArray[Any]:
    try:
        array = np.asarray(value)
    except ValueError as problem:  # rows of unequal length
        raise ArgumentError(f"{name} must be a number or a regular array of numbers.") from problem
    if array.size == 0:
        return np.zeros(array.shape)
    if array.dtype.kind == "O" and hasattr(value, "to_numpy") and all(map(_is_number, array.flat)):
        return array.astype(np.float64)  # a frame of numbers that may lack, which numpy takes for things
    if array.dtype.kind not in "iuf" or _holds_truths(value):
        raise KindError(f"{name} must be a number or an array of numbers, not {value!r}.")
    return array


def _is_number(value: Any) -> bool:
    return isinstance(value, Real) and not isinstance(value, bool | np.bool_)


def _holds_truths(value: Any) -> bool:
    """True for a list with a True or False in it, which numpy would silently take for 1 or 0."""
    if isinstance(value, list | tuple):
        return any(_holds_truths(one) for one in value)
    return isinstance(value, bool | np.bool_)
