"""Results as tables for screen and file, and as rows for charts: the only place where numbers are rounded."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, Final

import pandas as pd

from evaluation import statistics
from evaluation.counting.profiles import COUNTED, ProfileFound
from evaluation.counting.questions import Assessment, Impression, Loss, Sureness
from evaluation.judging.sequences import SequentialEntry
from evaluation.judging.verdicts import AnyEntry, Entry, PreferenceEntry
from evaluation.kinds import Method, kind_of
from evaluation.sessions import OVERALL
from evaluation.statistics import Decay
from evaluation.values.briefs import Target
from evaluation.wording import of_profiles
from evaluation.wording.of_looks import NOT_VALID
from evaluation.wording.of_profiles import age_words as age_of_profile
from evaluation.wording.of_profiles import signed
from evaluation.wording.of_verdicts import age_words

DIGITS: Final = 3  # of shares and d-prime
P_DIGITS: Final = 4
RISKY: Final = ("=", "+", "-", "@", "\t")  # a spreadsheet runs a cell that begins like this


# --- verdicts -----------------------------------------------------------------------------------------------------


def verdicts(entries: Iterable[AnyEntry]) -> pd.DataFrame:
    """One row per forced-choice entry."""
    return _frame([_verdict_row(entry) for entry in entries if isinstance(entry, Entry)])


def _verdict_row(entry: Entry) -> dict[str, Any]:
    return {
        **_question_cells(entry),
        "right": entry.correct,
        "answers": entry.assessments,
        "people": entry.panelists,
        "needed": entry.minimum_correct,
        "most for not noticed": entry.maximum_correct,
        **_level_cells(entry),
        **_weighed_cells(entry),
        "share noticing": shown(entry.discriminators),
        "share low": shown(entry.discriminators_low),
        "share high": shown(entry.discriminators_high),
        "d-prime": shown(entry.d_prime),
        "d-prime low": shown(entry.d_prime_low),
        "d-prime high": shown(entry.d_prime_high),
        "interval level": shown(entry.level),
        "speaks for": entry.speaks_for,
    }


def _weighed_cells(entry: Entry) -> dict[str, Any]:
    """Columns that are there only where *noticed* was judged by weight; "p" is the count's."""
    if entry.weighed is None:
        return {}
    return {
        "weights": " ".join(map(str, entry.weighed.weights)),
        "right by weight": entry.weighed.right,
        "of weight": entry.weighed.total,
        "weight needed": entry.weighed.needed,
        "p by weight": shown_p(entry.weighed.p_value),
    }


def preferences(entries: Iterable[AnyEntry]) -> pd.DataFrame:
    """One row per preference entry; first, second and none are votes."""
    return _frame([_preference_row(entry) for entry in entries if isinstance(entry, PreferenceEntry)])


def _preference_row(entry: PreferenceEntry) -> dict[str, Any]:
    return {
        **_question_cells(entry),
        "first": entry.first,
        "second": entry.second,
        "none": entry.none,
        "answers": entry.assessments,
        "people": entry.panelists,
        "needed": entry.minimum_correct,
        **_level_cells(entry),
        "share first": shown(entry.share_first),
        "share low": shown(entry.share_low),
        "share high": shown(entry.share_high),
        "interval level": shown(entry.level),
        "speaks for": entry.speaks_for,
    }


def _question_cells(entry: AnyEntry) -> dict[str, Any]:
    return {
        "comparison": entry.comparison,
        "method": entry.method,
        "strip age": age_words(entry.age_minutes),
        "standing": standing(entry),
        "verdict": entry.verdict,
    }


def _level_cells(entry: AnyEntry) -> dict[str, Any]:
    return {
        "p": shown_p(entry.p_value),
        "p in the family": shown_p(entry.p_family),
        "alpha used": shown(entry.alpha_used, P_DIGITS),
    }


def standing(entry: AnyEntry) -> str:
    """Primary, confirmatory or exploratory."""
    if entry.primary:
        return "primary"
    return "confirmatory" if entry.confirmatory else "exploratory"


# --- charts -------------------------------------------------------------------------------------------------------


def guessing_rows(entries: Iterable[AnyEntry]) -> pd.DataFrame:
    """Rows for the chart of guessing against seen: proportions of right answers, not rounded."""
    rows = [_guessing_row(entry) for entry in entries if isinstance(entry, Entry) and entry.assessments]
    return pd.DataFrame(rows)


def _guessing_row(entry: Entry) -> dict[str, Any]:
    test = statistics.difference_test(entry.correct, entry.assessments, entry.method)
    limits = test.interval(entry.level, of="proportion_correct")
    needed = entry.minimum_correct
    return {
        "age": age_words(entry.age_minutes),
        "primary": entry.primary,
        "correct": entry.correct,
        "assessments": entry.assessments,
        "guessing": statistics.chance(entry.method),
        "seen": test.proportion_correct,
        "low": limits.low,
        "high": limits.high,
        "needed": needed,
        "needed_share": None if needed is None else needed / entry.assessments,
    }


def preference_rows(entries: Iterable[AnyEntry]) -> pd.DataFrame:
    """Rows for the chart of preferences: people, and the share of the votes in the test."""
    rows = [_preference_chart_row(one) for one in entries if isinstance(one, PreferenceEntry) and one.panelists]
    return pd.DataFrame(rows)


def _preference_chart_row(entry: PreferenceEntry) -> dict[str, Any]:
    return {
        "age": age_words(entry.age_minutes),
        "primary": entry.primary,
        "first": entry.first,
        "none": entry.none,
        "second": entry.second,
        "votes": entry.votes,
        "share": entry.share_first,
        "low": entry.share_low,
        "high": entry.share_high,
    }


def look_rows(entry: SequentialEntry) -> pd.DataFrame:
    """Rows for the chart of a path within its limits, one per look planned; ``correct`` only where one was taken."""
    taken = {look.assessments: look.correct for look in entry.looks}
    rows = [{"assessments": n, "lower": low, "upper": high, "correct": taken.get(n)} for n, low, high in entry.limits]
    return _frame(rows)


def looks(entry: SequentialEntry) -> pd.DataFrame:
    """The looks of a sequential session as a file: no p and no interval, which are not valid after stopping."""
    risks = {
        "alpha exact": shown(entry.alpha_exact, P_DIGITS),
        "beta exact": shown(entry.beta_exact, P_DIGITS),
        "expected if all guess": shown(entry.expected_at_null),
        "expected at pd": shown(entry.expected_at_pd),
    }
    about = {"comparison": entry.comparison, "method": entry.method, "strip age": age_words(entry.age_minutes)}
    end = {"verdict": entry.verdict, "reason": entry.reason, "people": entry.panelists, "p": NOT_VALID}
    taken = [
        {"answers": one.assessments, "right": one.correct, "lower": one.lower, "upper": one.upper, "look": one.outcome}
        for one in entry.looks
    ]
    return _frame([about | end | look | risks | {"speaks for": entry.speaks_for} for look in taken or [{}]])


def map_rows(found: ProfileFound, first: str, second: str) -> pd.DataFrame:
    """Rows for the map of what moved between two trials; the text in a cell is the difference."""
    table = pd.DataFrame() if found.differences is None else found.differences.table
    table = table[(table["first"] == first) & (table["second"] == second)]
    return pd.DataFrame(
        {
            "descriptor": table["descriptor"].astype(str),
            "age": [age_of_profile(one) for one in table["age_minutes"]],
            "difference": table["difference"],
            "sure": table["in_family"] & (table["p_family"] <= found.alpha),
            "outside": ~table["in_family"],
            "text": ["" if math.isnan(one) else signed(one) for one in table["difference"]],
        }
    ).dropna(subset=["difference"])


def strength_rows(decay: Decay) -> pd.DataFrame:
    """Rows for the curve of strength, one for each trial and age."""
    return pd.DataFrame(
        [
            {"trial": one.trial, "age_minutes": at.age_minutes, "mean": at.mean, "fitted": at.fitted}
            for one in decay.trials
            for at in one.curve
        ]
    )


def target_rows(targets: Iterable[Target], words: Iterable[str], age: float) -> pd.DataFrame:
    """Targets for this age or for the whole dry-down, by the descriptor's name as the plan spells it."""
    known = {word.casefold(): word for word in words}
    rows = [
        {"descriptor": known[one.descriptor.casefold()], "value": float(one.value), "kind": one.kind}
        for one in targets
        if one.descriptor.casefold() in known and (one.minutes is None or float(one.minutes) == age)
    ]
    return pd.DataFrame(rows, columns=["descriptor", "value", "kind"])


# --- answers ------------------------------------------------------------------------------------------------------


def answers(rows: Iterable[Assessment], null_rows: Iterable[Assessment] = ()) -> pd.DataFrame:
    """Every answer with what the key makes of it; those to null sets last, never counted."""
    nulls = [_answer_row(row) | {"counted": "null set"} for row in null_rows]
    return _frame([*map(_answer_row, rows), *nulls])


def _answer_row(row: Assessment) -> dict[str, Any]:
    return {
        "strip age": _seconds_words(row.age),
        "seat": row.seat,
        "panelist": row.panelist,
        "replicate": row.replicate,
        "codes": " ".join(row.codes),
        "chosen": row.chosen,
        "correct": "" if row.correct is None else int(row.correct),
        "preferred": row.preferred,
        "nearer to the brief": row.nearer,
        "sure": row.sure,
        "remark": row.remark,
        "deviations": ", ".join(row.deviations),
        "counted": "yes" if row.counted else "no",
    }


def answers_to_judge(
    rows: Iterable[Assessment], comparison: str, method: Method, *, sureness: bool = False
) -> pd.DataFrame:
    """The counted answers in the columns ``judge`` reads; ``sureness``: with what it needs to weigh them."""
    outcome = "preferred" if kind_of(method).votes else "correct"
    return _frame(
        [
            {
                "comparison": comparison,
                "method": method,
                "panelist": row.panelist_id or f"seat {row.seat}",
                "replicate": row.replicate,
                "age_minutes": row.age if isinstance(row.age, str) else f"{row.age / 60:.12g}",
                outcome: row.preferred if kind_of(method).votes else int(bool(row.correct)),
                **({"sure": row.sure} if sureness else {}),
            }
            for row in rows
            if row.counted
        ]
    )


def losses(rows: Iterable[Loss]) -> pd.DataFrame:
    """Planned, come in, counted, left out and why, per age."""
    return _frame(
        [
            {
                "strip age": _seconds_words(row.age),
                "planned": row.planned,
                "came in": row.answered,
                "counted": row.counted,
                "left out": ", ".join(f"{number} {kind}" for kind, number in row.left_out),
            }
            for row in rows
        ]
    )


def sureness(rows: Iterable[Sureness]) -> pd.DataFrame:
    """How sure, how many, how many right."""
    return _frame([{"sure": row.sure, "answers": row.answers, "right": row.correct} for row in rows])


def impressions(rows: Iterable[Impression], names: tuple[str, str]) -> pd.DataFrame:
    """Counts of "would you wear it" and "how strong is it", one row per option and one column per trial."""
    told: dict[tuple[str, str], dict[str, Any]] = {}
    for row in rows:
        name = names[0] if row.trial == "first" else names[1]
        for option, people in row.counts:
            told.setdefault((row.asked, option), {"asked": row.asked, "answer": option})[name] = people
    return _frame(list(told.values()))


# --- profiles -----------------------------------------------------------------------------------------------------

BEYOND: Final = "beyond measure"  # in the place of an infinite number
P_COLUMNS: Final = ("p_value", "p_family")


def moved(found: ProfileFound) -> pd.DataFrame:
    """Every comparison of a profile: difference second − first, interval, p by itself and within the family."""
    table = pd.DataFrame() if found.differences is None else found.differences.table
    if table.empty:
        return table
    standing = ["in the family" if one else "outside the family, described only" for one in table["in_family"]]
    return _for_people(table.drop(columns=["in_family", "p_error", "p_family_error"]).assign(standing=standing), found)


def moved_between(found: ProfileFound, first: str, second: str) -> pd.DataFrame:
    """The comparisons of two trials for the screen: what is said of all of them is left away."""
    table = moved(found)
    if table.empty:
        return table
    own = table[(table["first"] == first) & (table["second"] == second)]
    own = own.assign(age=[age_of_profile(one) for one in own.pop("age minutes")])
    kept = ["descriptor", "age", "difference", "p family", "low", "high", "p value", "panelists", "standing"]
    named = {"p value": "p by itself", "p family": "p in the family", "panelists": "people", "standing": "tested"}
    return own[kept].rename(columns=named)


def effects_shown(found: ProfileFound) -> pd.DataFrame:
    """The mixed model for the screen: p first, and a note as a column only where the rows have different ones."""
    told = effects(found).replace({"singular": {True: "yes", False: "no"}})
    told["df"] = [None if _nothing(b) else f"{a:g} and {b:g}" for a, b in told[["df effect", "df error"]].to_numpy()]
    told["note"] = [of_profiles.note_words(one or "") for one in told["note"]]
    kept = ["descriptor", "effect", "p value", "F", "df", "singular", *(["note"] if told["note"].nunique() > 1 else [])]
    return told[kept].rename(columns={"p value": "p", "singular": "a spread came out as 0"})


def rated(found: ProfileFound) -> pd.DataFrame:
    """Every rating as the statistics read it; what is missing says why."""
    told = found.rows.assign(counted=["yes" if one else "no" for one in found.rows["counted"]])
    return _for_people(told.drop(columns="seat"), found)


def effects(found: ProfileFound) -> pd.DataFrame:
    """The mixed model: F of trial, age and both together for each rating, with the variances beside."""
    if found.model is None:
        return pd.DataFrame()
    variances = found.model.variances.rename(columns={"panelist": "variance panelist", "residual": "variance residual"})
    between = {name: f"variance {name.replace(':', ' × ')}" for name in variances if ":" in name}
    variances = variances.rename(columns=between)
    return _for_people(found.model.table.merge(variances, on="descriptor", sort=False), found)


def falling(decay: Decay, found: ProfileFound) -> pd.DataFrame:
    """How strength falls: area, and the age at which it falls to the threshold, one row for each trial."""
    names = ("trial", "panelists", "area", "area_low", "area_high", "time_above", "low", "high", "censored", "reason")
    rows = [{name: getattr(one, name) for name in names} | {"threshold": decay.threshold} for one in decay.trials]
    return _for_people(pd.DataFrame(rows), found)


def counted(family: str, found: ProfileFound) -> pd.DataFrame:
    """What is counted of the answers of one family, such as who checked a word for one of two trials only."""
    told = found.counted.get(family)
    return pd.DataFrame() if told is None else _for_people(COUNTED.of(family).table(told), found)


def panelists(found: ProfileFound) -> pd.DataFrame:
    """How each person uses the scale, by name and never in an order of merit."""
    return pd.DataFrame() if found.people is None else _for_people(found.people.table, found)


def _for_people(frame: pd.DataFrame, found: ProfileFound) -> pd.DataFrame:
    """Rounded cells, and on what it was smelt."""
    told = frame.reset_index(drop=True).astype(object)
    for name in told.columns:
        cell = shown_p if name in P_COLUMNS else _cell
        told[name] = pd.Series([None if _nothing(one) else cell(one) for one in told[name]], dtype=object)
    told.insert(0, "medium", found.medium)
    return told.rename(columns=lambda name: str(name).replace("_", " "))


def _nothing(cell: Any) -> bool:
    return cell is None or (isinstance(cell, float) and math.isnan(cell))


def _cell(cell: Any) -> Any:
    if isinstance(cell, tuple):
        return "; ".join(map(str, cell))
    return shown(float(cell)) if isinstance(cell, float) else cell


def _seconds_words(age: int | str) -> str:
    return OVERALL if isinstance(age, str) else age_words(age / 60)


# --- rounding and files -------------------------------------------------------------------------------------------


def shown(value: float | None, digits: int = DIGITS) -> float | None:
    """A number rounded for people; infinity stays, nothing stays nothing."""
    return value if value is None or math.isinf(value) else round(value, digits)


def shown_p(p_value: float) -> str:
    """A p-value for a cell: never rounded to 0 or to 1."""
    smallest = 10.0**-P_DIGITS
    if p_value < smallest:
        return f"< {smallest:.{P_DIGITS}f}"
    return f"> {1 - smallest:.{P_DIGITS}f}" if 1 - smallest < p_value < 1 else f"{p_value:.{P_DIGITS}f}"


def csv_text(frame: pd.DataFrame) -> str:
    """A frame as comma-separated text in which no cell is a formula to a spreadsheet."""
    guarded = frame.rename(columns=_guarded).map(_guarded)
    return str(guarded.to_csv(index=False, lineterminator="\n"))


def _guarded(cell: Any) -> Any:
    if isinstance(cell, float) and math.isinf(cell):
        return BEYOND
    if not isinstance(cell, str):
        return cell
    cell = cell.replace("\r\n", "\n").replace("\r", "\n")  # a bare carriage return would end the row
    return f"'{cell}" if cell.lstrip(" \n").startswith(RISKY) else cell


def _frame(rows: Sequence[dict[str, Any]]) -> pd.DataFrame:
    """Rows as a frame; whole numbers stay whole where some are missing."""
    frame = pd.DataFrame(rows)
    for name in frame.columns:
        cells = [row.get(name) for row in rows]
        if None in cells and all(cell is None or isinstance(cell, int) for cell in cells):
            frame[name] = pd.array(cells, dtype="Int64")
    return frame
