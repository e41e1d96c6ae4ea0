"""Everything that was found, spelt in one way only: canonical numbers that two programs can compare byte by byte."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from decimal import Decimal
from typing import Any, Final

import numpy as np
import pandas as pd

from evaluation.actions.findings import Findings
from evaluation.actions.profile_findings import ProfileFindings
from evaluation.actions.round_findings import RoundFindings
from evaluation.profiles import ProfileFound

FORMAT: Final = 1
_LEFT_AWAY: Final = frozenset(
    {"session", "rows", "null_rows", "remarks", "noted", "on_skin"}
)  # words and single answers
_OF_PROFILE: Final = ("came", "differences", "all_differences", "model", "decay", "checked", "levels", "people")
_OF_ROUND: Final = ("came", "merits", "placed", "ranked", "camps", "pairs", "nearer")


def of_two(found: Findings) -> str:
    """The numbers of a session that compared two trials."""
    parts = {"strip" if found.on_skin or "strip" in found.session.plan.media else "skin": found}
    parts |= {"skin": found.on_skin} if found.on_skin else {}
    told = {name: {f.name: getattr(part, f.name) for f in fields(part) if f.name not in _LEFT_AWAY}
            for name, part in parts.items()}  # fmt: skip
    return _spelt(found.session.sealed_hash, found.last_hash, told)


def of_profile(found: ProfileFindings) -> str:
    """The numbers of a profile."""
    told = {part.medium: _profile(part) for part in found.found}
    return _spelt(found.context.session.sealed_hash, found.context.last_hash, told)


def of_round(found: RoundFindings) -> str:
    """The numbers of a round of pairs or a ranking."""
    told = {part.medium: {name: getattr(part, name) for name in _OF_ROUND} for part in found.found}
    return _spelt(found.context.session.sealed_hash, found.context.last_hash, told)


def _profile(part: ProfileFound) -> Mapping[str, Any]:
    return {name: getattr(part, name) for name in _OF_PROFILE}


def _spelt(sealed: str, last: str, told: Mapping[str, Any]) -> str:
    about = {"format": FORMAT, "sealed_hash": sealed, "last_hash": last, "found": _plain(told)}
    return json.dumps(about, ensure_ascii=True, sort_keys=True, indent=1, allow_nan=False) + "\n"


def _plain(value: Any) -> Any:
    """Floats with all their digits; what is no number is null, and what is beyond measure a word."""
    if isinstance(value, bool | np.bool_):
        return bool(value)
    if value is None or isinstance(value, str | int):
        return value
    if isinstance(value, np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return _float(float(value))
    if isinstance(value, Decimal):
        return str(value)
    return _plain_many(value)


def _plain_many(value: Any) -> Any:
    if isinstance(value, pd.DataFrame):
        return [{str(name): _plain(cell) for name, cell in row.items()} for row in value.to_dict("records")]
    if isinstance(value, pd.Series | np.ndarray):
        return [_plain(one) for one in value.tolist()]
    if isinstance(value, Mapping):
        return {str(name): _plain(one) for name, one in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    if isinstance(value, set | frozenset):
        return sorted(map(_plain, value), key=repr)
    if is_dataclass(value):
        named = (one.name for one in fields(value))
        return {name: _plain(getattr(value, name)) for name in named if not callable(getattr(value, name))}
    return None if pd.isna(value) else str(value)


def _float(number: float) -> float | str | None:
    if math.isnan(number):
        return None
    return number if math.isfinite(number) else ("infinite" if number > 0 else "-infinite")
