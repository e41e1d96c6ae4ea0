"""Everything that was found, spelt in one way only: canonical numbers that two programs can compare byte by byte."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import Field, fields, is_dataclass
from decimal import Decimal
from typing import Any, Final

import numpy as np
import pandas as pd

from evaluation.actions.opened import Findings
from evaluation.actions.profile_findings import ProfileFindings
from evaluation.actions.round_findings import RoundFindings
from evaluation.actions.two_findings import TwoFindings, TwoFound
from evaluation.counting.fans import fan_of
from evaluation.counting.profiles import ProfileFound

FORMAT: Final = 1
_LEFT_AWAY: Final = frozenset({"plan", "names", "rows", "null_rows"})  # words and single answers
_OF_PROFILE: Final = ("came", "differences", "all_differences", "model", "decay", "people")
_EVER_COUNTED: Final = ("checked", "levels")  # files name these, asked or not; a family that came later, where it was
_OF_ROUND: Final = ("came", "merits", "placed", "ranked", "camps", "pairs", "nearer")


def of_two(found: TwoFindings) -> str:
    """The numbers of a session that compared two trials."""
    return _spelt(found, {part.medium: _around(found, part) | _two(part) for part in found.found})


def _around(found: TwoFindings, part: TwoFound) -> dict[str, Any]:
    """Files hold this with each medium, as they always did; who stopped, with the last: that is the skin's."""
    about, last = found.context, part is found.found[-1]
    return {
        "brief_title": about.brief_title,
        "labels": part.names,
        "key_seen_by": about.key_seen_by,
        "log_holds": about.log_holds,
        "last_hash": about.last_hash,
        "stopped": about.stopped if last else (),
    }


def _two(part: TwoFound) -> dict[str, Any]:
    return {one.name: getattr(part, one.name) for one in fields(part) if one.name not in _LEFT_AWAY}


def of_profile(found: ProfileFindings) -> str:
    """The numbers of a profile."""
    told: dict[str, Any] = {part.medium: _profile(part) for part in found.found}
    return _spelt(found, told)


def of_round(found: RoundFindings) -> str:
    """The numbers of a round of pairs or a ranking."""
    told: dict[str, Any] = {part.medium: {name: getattr(part, name) for name in _OF_ROUND} for part in found.found}
    for part in found.found:
        told[part.medium] |= {"fan": fan_of(part)} if part.plan.strips_a_code > 1 else {}  # files of before name none
    return _spelt(found, told)


def _profile(part: ProfileFound) -> Mapping[str, Any]:
    told: dict[str, Any] = {name: getattr(part, name) for name in _OF_PROFILE}
    if part.separation is not None:  # a key that files of other sessions do not have
        told |= {"effects": part.effects, "all_effects": part.all_effects}
    return told | dict.fromkeys(_EVER_COUNTED) | dict(part.counted)


def _spelt(found: Findings[Any], told: Mapping[str, Any]) -> str:
    sealed, last = found.context.session.sealed_hash, found.context.last_hash
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
        told = ((one.name, getattr(value, one.name)) for one in fields(value) if not _says_nothing(one, value))
        return {name: _plain(one) for name, one in told if not callable(one)}
    return None if pd.isna(value) else str(value)


def _says_nothing(one: Field[Any], value: Any) -> bool:
    """A field that came later is not spelt at its old value, so that files made before compare equal."""
    return bool(one.metadata.get("later")) and getattr(value, one.name) == one.default


def _float(number: float) -> float | str | None:
    if math.isnan(number):
        return None
    return number if math.isfinite(number) else ("infinite" if number > 0 else "-infinite")
