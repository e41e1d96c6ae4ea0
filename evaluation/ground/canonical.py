"""One way to write a value down, so that its hash means something: canonical JSON and SHA-256.

UTF-8, keys sorted, no blanks. No floats (a float has no one spelling): decimals and fractions are written as text. The
version travels inside what is hashed, so that a later spelling cannot be mistaken for this one.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from evaluation.errors import KindError

VERSION: Final = 1
_AS_IT_IS: Final = frozenset({type(None), bool, int, str})
_WRITTEN: Final = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def canonical(value: Any) -> bytes:
    """``value`` as canonical JSON; raises KindError for a float or anything else without one spelling."""
    return _WRITTEN.encode({"version": VERSION, "value": _plain(value)}).encode()


def digest(*parts: bytes) -> str:
    """SHA-256 of the parts, each with its length before it so that no two lists of parts look alike."""
    total = hashlib.sha256()
    for part in parts:
        total.update(len(part).to_bytes(8, "big"))
        total.update(part)
    return total.hexdigest()


def _plain(value: Any) -> Any:
    if type(value) in _AS_IT_IS or isinstance(value, int | str):
        return value
    if isinstance(value, Decimal):
        return _decimal(value)
    if isinstance(value, Fraction):
        return f"{value.numerator}/{value.denominator}" if value.denominator > 1 else str(value.numerator)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {_key(key): _plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    if hasattr(value, "as_sealed"):  # a value whose spelling is older than its fields
        return _plain(value.as_sealed())
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    raise KindError(f"A {type(value).__name__} has no canonical spelling: {value!r}.")


def _decimal(value: Decimal) -> str:
    """0.05 and 0.050 are one number and get one spelling; NaN and infinities none."""
    if not value.is_finite():
        raise KindError(f"{value} has no canonical spelling.")
    if not value:
        return "0"
    spelled = format(value, "f")  # normalize() would round to the 28 digits of the context
    return spelled.rstrip("0").rstrip(".") if "." in spelled else spelled


def _key(key: Any) -> str:
    if not isinstance(key, str):
        raise KindError(f"A key of canonical JSON is text, not {key!r}.")
    return key
