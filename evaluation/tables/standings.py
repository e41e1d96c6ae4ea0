"""Rounds and rankings as tables, rounded for people, and the rows charts are drawn from."""

from __future__ import annotations

from math import exp
from typing import Any

import pandas as pd

from evaluation.counting.rounds import Pair, RoundFound, led_by
from evaluation.tables.results import shown, shown_p
from evaluation.values.trials import trial_name


def pairs(found: RoundFound) -> pd.DataFrame:
    """Every two trials: people for either, p of the family, and what is said."""
    return pd.DataFrame([_pair(found, place) for place in range(len(found.pairs))])


def _pair(found: RoundFound, place: int) -> dict[str, Any]:
    one = found.pairs[place]
    return {
        "medium": found.medium,
        "first": found.names[one.first],
        "second": found.names[one.second],
        "people for first": one.for_first,
        "people for second": one.for_second,
        "both alike": one.even,
        "people": one.people,
        "p in the family": shown_p(one.p_family) if one.people else "",
        "said": _said(found, one),
    }


def _said(found: RoundFound, pair: Pair) -> str:
    if not pair.people:
        return "nobody answered"
    if pair.camps:
        return "opposite camps"
    return f"{trial_name(found.names[pair.better])} preferred" if pair.shown else "not told apart"


def answers(found: RoundFound) -> pd.DataFrame:
    """Every answered set with what the key makes of it."""
    return pd.DataFrame(
        [
            {
                "medium": found.medium,
                "panelist": row.panelist,
                "seat": row.seat,
                "replicate": row.replicate,
                "codes": " ".join(row.codes),
                "as smelt": " ".join(found.names[one] for one in row.trials),
                "best first": " > ".join(found.names[one] for one in row.best_first) or "no preference",
                "nearer to the brief": "" if row.nearer is None else found.names[row.nearer],
                "sure": row.sure,
                "remark": row.remark,
                "deviations": ", ".join(row.deviations),
                "counted": "yes" if row.counted else "no",
            }
            for row in found.rows
        ]
    )


def merits(found: RoundFound) -> pd.DataFrame:
    """Log-merits summing to 0 and their standard errors; empty where the panel splits: nobody holds the average."""
    if found.merits is None or found.split:
        return pd.DataFrame()
    own = found.merits
    return pd.DataFrame(
        {
            "medium": found.medium,
            "trial": found.names,
            "log-merit": [shown(float(one)) for one in own.log_merits],
            "standard error": [shown(float(one)) for one in own.covariance.diagonal() ** 0.5],
            "error from": own.covariance_from,
            "condition": own.condition,
        }
    )


def ranks(found: RoundFound) -> pd.DataFrame:
    """Each person's ranks as the test read them, by seat and never by name of merit."""
    if found.ranks is None or found.ranked is None:
        return pd.DataFrame()
    named = {row.person: row.panelist for row in found.used}
    frame = pd.DataFrame(found.ranked.ranks, columns=list(found.names))
    frame.insert(0, "panelist", [named[one] for one in found.ranks[0]])
    frame.insert(0, "medium", found.medium)
    return frame


def pair_rows(found: RoundFound) -> pd.DataFrame:
    """Rows for the chart of people for each pair, the one more people prefer in front, most won pairs on top."""
    place = {one: at for at, one in enumerate(led_by(found))}
    rows = []
    for one in sorted(found.pairs, key=lambda p: (place[p.better], place[p.first] + place[p.second])):
        turned = one.better == one.second
        names = (found.names[one.second], found.names[one.first]) if turned else (
            found.names[one.first], found.names[one.second]
        )  # fmt: skip
        counts = (one.for_second, one.for_first) if turned else (one.for_first, one.for_second)
        said = "camps" if one.camps else "shown" if one.shown else "open"
        rows.append(
            dict(
                zip(
                    ("front", "back", "for_front", "for_back", "even", "said"),
                    (*names, *counts, one.even, said),
                    strict=True,
                )
            )
        )
    return pd.DataFrame(rows)


def merit_rows(found: RoundFound) -> pd.DataFrame:
    """Rows for the chart of merits: chance of being preferred to the best, ties aside, with its interval.

    Empty where the panel splits, or where the distances would be the penalty's.
    """
    own = found.merits
    if own is None or found.split or own.penalised:
        return pd.DataFrame()
    best, rows = own.order[0], []
    for place in own.order[1:]:
        limits = own.interval(place, best, found.level)
        middle = float(own.log_merits[place] - own.log_merits[best])
        chances = [1.0 / (1.0 + exp(-one)) for one in (limits.low, middle, limits.high)]
        rows.append(
            {
                "trial": found.names[place],
                "best": found.names[best],
                **dict(zip(("low", "chance", "high"), chances, strict=True)),
            }
        )
    return pd.DataFrame(rows)
