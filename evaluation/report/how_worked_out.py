"""How each number was worked out, and where that is written: the references of the functions that were used."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from evaluation.kinds.by_kind import ByKind
from evaluation.sessions import INDEPENDENT, Plan
from evaluation.wording.of_kinds import WORDS

_FORCED: Final = (
    "Noticed: exact binomial test, one-sided, against guessing ({standard}). Clopper and Pearson 1934 for intervals.",
    "Not noticed: exact limit for the share that notices, at the beta risk (ISO 4120:2004, 8.2 and Table A.2).",
)
_WEIGHED: Final = (
    "Noticed, by weight: the exact law of the weight of right answers given the sureness said, each answer right by "
    "guessing alone; weights sealed before anybody smelt.",
)
_PREFERENCE: Final = (
    "Preference: exact binomial test at one half, both tails (ISO 5495:2005, Table A.2); answers without a preference "
    "by the sealed rule (Lawless and Heymann 2010, chapter 13).",
)
_LOOKS: Final = (
    "Looks: limits after Wald 1947, with exact risks for the looks that were planned (ISO 16820:2004 is the standard "
    "of such sessions).",
)
_SERIES: Final = (
    "Series: evidence that multiplies over sittings, one bet against guessing a set, read when one likes (Ville 1939; "
    "Shafer, Shen, Vereshchagin and Vovk 2011, Statistical Science 26, 84 to 101; from memory).",
)
# Holm, Westfall and Young, Marcus and others: from memory.
_AGES: Final = ("Several ages: Holm 1979 within the family named above.",)
_PROFILE: Final = (
    "Differences between trials: sign flips over panelists, each person's rows together; the greatest statistic "
    "of all rows gives the p of the family (Westfall and Young 1993).",
    "Mixed model: panelists and their way with each trial at random, fitted by restricted maximum likelihood.",
)
_EXCHANGED: Final = (
    "Three trials or more: a pair differs only where no three that hold it could be all alike, by exchanging each "
    "person's labels, which the draw of orders allows (closed testing, Marcus, Peritz and Gabriel 1976)."
)
_EFFECTS: Final = (
    "Effects of changes: each person’s ratings by least squares, a change coded by minus and plus one half (Box, "
    "Hunter and Hunter 2005, chapter 5; from memory).",
    "From six people on: sign flips over people, all effects, descriptors and ages together; the greatest statistic of "
    "all rows gives the p of the family (Westfall and Young 1993; from memory). Under six: sign flips over pairs of "
    "bottles that differ in one change alone, the greatest within a change, Holm 1979 over changes.",
    "More than six bottles: balanced incomplete blocks, one a sitting (Cochran and Cox 1957, chapter 11; from memory).",
)
_ROUND: Final = (
    "Round of pairs: merits after Bradley and Terry 1952, ties after Davidson 1970; how sure, by leaving out one "
    "panelist at a time.",
)
_RANKING: Final = (
    "Ranking: Friedman's test with ties, Page's where an order was sealed in advance; comparisons corrected together.",
)
SEVERAL: Final = ByKind("methods to name", {"profile": _PROFILE, "round": _ROUND, "ranking": _RANKING})
ALL: Final = (
    "Blinding: three-digit codes and orders drawn and sealed before smelling; each line of the log holds a hash over "
    "the one before (SHA-256). The seal protects against accident and later alteration, not against the owner of the "
    "machine.",
)


def lines_of(plan: Plan) -> tuple[str, ...]:
    """What was used for this plan."""
    return (*_used(plan), *ALL)


def _used(plan: Plan) -> Iterable[str]:
    if plan.series_id:
        yield from _SERIES
    elif plan.kind.judged:
        yield from (one.format(standard=WORDS.of(plan.method).source) for one in _FORCED)
        yield from _WEIGHED if plan.sureness_weights else ()
    elif plan.kind.votes:
        yield from _PREFERENCE
    else:
        yield from SEVERAL.of(plan.method) if plan.design.separation is None else _EFFECTS
    if plan.kind.rates and plan.design.separation is None and plan.draw == INDEPENDENT and len(plan.trial_ids) > 2:
        yield _EXCHANGED
    if plan.look_every:
        yield from _LOOKS
    if len(plan.ages) > 1 and not plan.kind.several:
        yield from _AGES
