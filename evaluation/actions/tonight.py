"""What to smell next by its worth: one model over the opened sessions of a brief, pairs for tonight, and their plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

import numpy as np

from evaluation.actions import book, decide
from evaluation.actions import plan as planning
from evaluation.actions.opened import held_of
from evaluation.actions.series_sittings import finals_not_kept
from evaluation.counting.liked import Liked, liked
from evaluation.deciding.top_two import FEWEST_AT_ONCE, pairs_each, pairs_tonight
from evaluation.deciding.worth import NextByWorth, Tonight, standing
from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical, digest
from evaluation.judging.entries import Rules
from evaluation.kinds.several import MOST_SEED
from evaluation.serving.blinding import law_now
from evaluation.serving.smelling import going_back_of
from evaluation.sessions import ALWAYS_OUT, EARLY, LATE, STRIP, TRIAL_LETTERS, Plan, Seat, Session, StripAge
from evaluation.statistics import BriefMerits, brief_merits
from evaluation.store import Notebook, Transaction
from evaluation.values.trials import Trial

STRIP_AGE: Final = StripAge(300, 30)  # what a new plan begins with
TITLE: Final = "Next by worth"
USUAL_STRIPS: Final = 12  # a nose tires after about so many (our proposal)


@dataclass(frozen=True, slots=True)
class _Opened:
    """Answers of opened sessions by trial, how many sessions gave any, and what the logs of all end in."""

    answers: tuple[Liked, ...]
    sessions: int
    ends: tuple[str, ...]


def next_by_worth(notebook: Notebook, brief_id: str, tonight: Tonight) -> NextByWorth:
    """What to smell with these people and strips; the opened sessions of the brief are all it looks at."""
    if not tonight.people:
        raise ArgumentError("people who are there tonight must be one or more.")
    trials = tuple(sorted(book.trials(notebook, brief_id), key=lambda one: one.made_at))
    places = {one.id: place for place, one in enumerate(trials)}
    out = {places[one] for one in decide.no_candidates(notebook, brief_id) if one in places}
    seen = _opened(notebook, brief_id)
    seed = _seed(brief_id, tonight, seen.ends)
    panel = tuple(dict.fromkeys([*tonight.people, *(one.person for one in seen.answers)]))
    found = standing(_merits(trials, places, panel, seen.answers, seed), out)
    each = pairs_each(tonight.strips, tonight.minutes)
    each = each if len(found.inside) >= FEWEST_AT_ONCE else 1  # a preference of two is asked once a session
    drawn = pairs_tonight(found.best_chance, len(tonight.people), each, seed, out)
    asked = tuple(
        tuple((trials[one.first].id, trials[one.second].id) for one in drawn if one.nose == nose)
        for nose in range(len(tonight.people))
    )
    finals = finals_not_kept(notebook, brief_id)
    answers = len(seen.answers)
    return NextByWorth(brief_id, trials, found, tonight, len(panel), answers, seen.sessions, asked, seed, finals)


def by_whole_panel(notebook: Notebook, brief_id: str) -> NextByWorth | None:
    """The same for everybody on the panel and the usual strips; None before any preference was opened."""
    people = tuple(one.id for one in book.panelists(notebook))
    try:
        found = next_by_worth(notebook, brief_id, Tonight(people, USUAL_STRIPS))
    except ArgumentError:  # nobody there, or one trial left: nothing to search
        return None
    return found if found.answers else None


def _opened(notebook: Notebook, brief_id: str) -> _Opened:
    with notebook.reading() as tx:
        listed = [one for one in tx.sittings.sessions(brief_id) if one.state == "opened"]
        told = [_of_trials(tx, one) for one in listed]
        ends = tuple(tx.log.last_hash(one.id) for one in listed)
    return _Opened(tuple(one for own in told for one in own), sum(map(bool, told)), ends)


def _of_trials(tx: Transaction, session: Session) -> tuple[Liked, ...]:
    """Who liked which trial better; two bottles of one trial say nothing of trials, a fan is of one, and no altered log
    is read.
    """
    plan = session.plan
    asked = plan.kind.votes or plan.kind.pairs or plan.kind.ranks
    if not asked or plan.strips_a_code > 1 or not tx.log.verify(session.id):
        return ()
    of = {one: tx.book.trial(one).trial_id for one in plan.trial_ids}
    found = liked(held_of(tx, session.id))
    return tuple(
        Liked(one.person, of[one.better], of[one.other], one.tied) for one in found if of[one.better] != of[one.other]
    )


def _seed(brief_id: str, tonight: Tonight, ends: tuple[str, ...]) -> int:
    """The same situation draws the same; no secret lies in what is proposed."""
    return int(digest(canonical([brief_id, tonight, list(ends)]))[:8], 16) & MOST_SEED


def _merits(
    trials: Sequence[Trial], places: Mapping[str, int], panel: Sequence[str], answers: Sequence[Liked], seed: int
) -> BriefMerits:
    wins, ties = np.zeros((2, len(panel), len(trials), len(trials)), dtype=np.int64)
    rows = {person: row for row, person in enumerate(panel)}
    for one in answers:
        row, better, other = rows[one.person], places[one.better], places[one.other]
        if one.tied:
            ties[row, [better, other], [other, better]] += 1
        else:
            wins[row, better, other] += 1
    parents = [places.get(one.parent_id or "") for one in trials]
    return brief_merits(wins, parents, ties, seed=seed)


# --- the plan ---------------------------------------------------------------------------------------------------------


def plan_tonight(notebook: Notebook, found: NextByWorth, zone: str = "UTC") -> Session:
    """A draft that asks what was proposed: a round of the chosen pairs, or a preference where only two are left."""
    several = len(found.asked_trials) > 2
    plan = Plan.of(**_frame(notebook, found, zone), **(_round(found) if several else _preference(found)))
    return planning.add_draft(notebook, plan)


def _frame(notebook: Notebook, found: NextByWorth, zone: str) -> dict[str, object]:
    usual, [first, second, *others] = Rules(), found.asked_trials
    return {
        "brief_id": found.brief_id,
        "title": TITLE,
        "first_trial_id": first,
        "second_trial_id": second,
        "other_trial_ids": tuple(others),
        "medium": STRIP,
        "ages": (STRIP_AGE,),
        "primary": STRIP_AGE.seconds,
        "replicates": 1,
        "seats": tuple(Seat(number, person) for number, person in enumerate(found.tonight.people, start=1)),
        "alpha": Decimal(str(usual.alpha)),
        "beta": Decimal(str(usual.beta)),
        "pd": Decimal(str(usual.pd)),
        "left_out": (*ALWAYS_OUT, EARLY, LATE),
        "zone": zone,
        "draw": law_now(solo=False),
        "asks_nearer": bool(book.brief(notebook, found.brief_id).text),
    }


def _round(found: NextByWorth) -> dict[str, object]:
    letter = dict(zip(found.asked_trials, TRIAL_LETTERS, strict=False))
    return {
        "method": "round",
        "going_back": going_back_of("round"),
        "asked_pairs": tuple(" ".join(letter[one] + letter[other] for one, other in own) for own in found.asked),
        "asked_seed": found.seed,
    }


def _preference(found: NextByWorth) -> dict[str, object]:
    return {"method": "preference", "going_back": going_back_of("preference")}
