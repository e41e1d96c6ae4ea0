"""The charts of a profile, from what was found: the same on the page and in files."""

from __future__ import annotations

from typing import Any

from evaluation.actions.profile_findings import ProfileFindings
from evaluation.charts import profile_pictures as charts
from evaluation.charts.effect_pictures import effects_over_ages
from evaluation.counting.profiles import ProfileFound, curves
from evaluation.statistics import Decay
from evaluation.tables import effects_told, results
from evaluation.values.scales import POINTS
from evaluation.wording.of_profiles import age_words


def over_ages(
    part: ProfileFound, word: str, time: str = "log", *, dark: bool = False, width: int | None = None
) -> Any | None:
    """One descriptor over the ages; None where nobody rated it."""
    drawn = curves(part, (word,))
    if drawn.means.empty:
        return None
    return charts.dry_down(drawn.people, drawn.means, part.names, time=time, dark=dark, width=width)


def effects(part: ProfileFound, word: str, *, dark: bool = False, width: int | None = None) -> Any | None:
    """What each separated change does to one descriptor over the ages; None where nobody rated it."""
    rows = effects_told.effect_rows(part, word)
    if rows.empty:
        return None
    names = list(dict.fromkeys(rows["effect"]))
    return effects_over_ages(rows, names, [age_words(age) for age in part.ages], dark=dark, width=width)


def moved(part: ProfileFound, pair: tuple[str, str], *, dark: bool = False, width: int | None = None) -> Any | None:
    """The map of what moved between two trials; None where nobody rated both."""
    rows = results.map_rows(part, *pair)
    if rows.empty:
        return None
    return charts.difference_map(rows, [age_words(age) for age in part.ages], pair[1], dark=dark, width=width)


def at_one_age(
    found: ProfileFindings, part: ProfileFound, age: float, *, dark: bool = False, width: int | None = None
) -> Any | None:
    """Each trial at one age, against what the brief aims at; None where nobody rated there."""
    means = curves(part, part.words(POINTS), age).means
    if means.empty:
        return None
    aimed = found.aims.targets if found.aims is not None else ()
    targets = results.target_rows(aimed, set(means["descriptor"].astype(str)), age)
    return charts.at_one_age(means, targets, part.names, dark=dark, width=width)


def strength(
    part: ProfileFound, decay: Decay, time: str = "log", *, dark: bool = False, width: int | None = None
) -> Any:
    """How strength falls, with the threshold."""
    return charts.strength(results.strength_rows(decay), part.names, decay.threshold, time=time, dark=dark, width=width)


def person(part: ProfileFound, name: str, *, dark: bool = False, width: int | None = None) -> Any | None:
    """One person beside the others; None where nobody else rated the same."""
    if part.people is None:
        return None
    table = part.people.table
    own = table[(table["panelist"] == name) & table["mean_others"].notna()]
    return None if own.empty else charts.one_panelist(own, dark=dark, width=width)
