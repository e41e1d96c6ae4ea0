"""Small facts against the evidence they name, over generated briefs; their words say no more than they do.

Every generated brief is kept as a plain list of what was held, and each fact is found anew from that list.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from evaluation import statistics
from evaluation.deciding.claims import Asked, asked, between, called, finer, search, together
from evaluation.deciding.evidence import FIRST, SECOND, Evidence, Said, TrialShown, frozen, thawed
from evaluation.deciding.next_smellings import UNSMELT, next_smellings
from evaluation.deciding.proposals import BETTER, LEAD, WAVERING, proposal, standings
from evaluation.values.trials import mismatches
from evaluation.wording.of_claims import agreement_words, finer_words
from evaluation.wording.of_decisions import LEAD_IS, beside, headline, lead_line, said_line
from evaluation.wording.of_next_smellings import next_words
from tests import made_briefs
from tests.values.test_values import trial


@dataclass(frozen=True)
class Held:
    """One session as it was held: "preference", "triangle" or "profile", about two trials by place."""

    method: str
    pair: tuple[int, int]
    votes: tuple[int, int, int]


@st.composite
def briefs(draw: st.DrawFn) -> tuple[tuple[int | None, ...], tuple[Held, ...]]:
    number = draw(st.integers(2, 5))
    parents = [None, *(draw(st.one_of(st.none(), st.integers(0, place - 1))) for place in range(1, number))]
    held = []
    for _ in range(draw(st.integers(0, 6))):
        pair = draw(st.tuples(st.integers(0, number - 1), st.integers(0, number - 1)).filter(lambda p: p[0] != p[1]))
        method = draw(st.sampled_from(("preference", "preference", "triangle", "profile")))
        first = draw(st.sampled_from((0, 1, 5, 6, 7, 11, 12)))
        held.append(Held(method, pair, (first, 12 - first, 0)))
    return tuple(parents), tuple(held)


Made = tuple[tuple[int | None, ...], tuple[Held, ...]]


def evidence_of(parents: tuple[int | None, ...], held: tuple[Held, ...]) -> Evidence:
    made = [
        TrialShown(f"t{n}", str(100 + n), None if of is None else f"t{of}", "a change", n)
        for n, of in enumerate(parents)
    ]
    sessions = []
    for number, one in enumerate(held, start=1):
        pair = (f"t{one.pair[0]}", f"t{one.pair[1]}")
        if one.method == "preference":
            sessions.append(made_briefs.preference(number, pair, one.votes))
        elif one.method == "triangle":
            sessions.append(made_briefs.triangle(number, pair, one.votes[0], 12))
        else:
            sessions.append(made_briefs.profile(number, pair))
    return made_briefs.brief(made, sessions)


def pairs_of(number: int) -> Iterator[tuple[int, int]]:
    return ((one, other) for one in range(number) for other in range(number) if one != other)


@given(briefs())
def test_who_compared_two_trials_is_in_the_sessions_held(made: Made) -> None:
    parents, held = made
    seen = evidence_of(*made)
    for one, other in pairs_of(len(parents)):
        found = together(seen, f"t{one}", f"t{other}")
        about = [n for n, session in enumerate(held, start=1) if {one, other} == set(session.pair)]
        assert [session.session_id for session in found.sessions] == [f"s{n}" for n in about]
        judged = [f"s{n}" for n in about if held[n - 1].method != "profile"]
        assert [session.session_id for session in found.asked] == judged
    smelt = {frozenset(session.pair) for session in held}
    for one in next_smellings(seen, 12):
        told = " ".join(next_words(one, seen))
        pair = frozenset((int(one.first_id[1:]), int(one.second_id[1:])))
        assert ("Nobody has compared" in told) == (one.why == UNSMELT)
        assert one.why != UNSMELT or pair not in smelt


@given(briefs())
def test_a_lead_is_told_with_what_it_was_found_among(made: Made) -> None:
    """A comparison that weighs is here one session that is no profile."""
    seen = evidence_of(*made)
    weighing = [one for one in made[1] if one.method != "profile"]
    assert (search(seen).sessions, search(seen).comparisons) == (len(weighing), len(weighing))
    found = proposal(seen)
    assert found.word != "keep"
    said = " ".join((headline(found, seen), *beside(found, seen)))
    assert "Keep" not in said
    assert "Drop" not in said
    if found.word == LEAD:
        assert f"found among {len(weighing)} comparison" in said
        assert f"in {len(weighing)} opened session" in said
    assert bool(lead_line(found)) == (found.word == LEAD)


def shown(votes: tuple[int, int, int]) -> str:
    """By the binomial law: two-sided, 12 people, .05."""
    first, second, _ = votes
    if 2 * stats.binom.sf(max(first, second) - 1, first + second, 0.5) > 0.05:
        return ""
    return FIRST if first > second else SECOND


@given(briefs())
def test_sessions_that_showed_no_preference_count_against_a_lead(
    made: Made,
) -> None:
    seen = evidence_of(*made)
    for standing in standings(seen):
        pair = (int(standing.first_id[1:]), int(standing.second_id[1:]))
        ways = [
            shown(one.votes if one.pair == pair else (one.votes[1], one.votes[0], 0))
            for one in made[1]
            if one.method == "preference" and set(one.pair) == set(pair)
        ]
        counted = Asked(ways.count(FIRST), ways.count(SECOND), ways.count(""))
        assert standing.liked == counted
        more = max(counted.first, counted.second) > counted.neither and not (counted.first and counted.second)
        assert bool(counted.leads) == more
        if standing.kind in BETTER:
            assert more
        if standing.kind == WAVERING:
            assert not more


def test_nearness_and_preference_are_asked_apart() -> None:
    one = made_briefs.preference(1, ("t0", "t1"), (12, 0, 0), nearer=(6, 6, 0))
    liked = asked((one,), "t0", "t1", frozenset({"preferred"}))
    near = asked((one,), "t1", "t0", frozenset({"held nearer the brief"}))
    assert (liked, near) == (Asked(1, 0, 0), Asked(0, 0, 1))


# --- what lies between two trials -------------------------------------------------------------------------------------


def steps_between(parents: tuple[int | None, ...], one: int, other: int) -> int | None:
    """Along the lines of the book in either direction, breadth first; None where no line joins the two."""
    joined = [(child, parent) for child, parent in enumerate(parents) if parent is not None]
    reached, edge, steps = {one}, {one}, 0
    while edge and other not in reached:
        edge = {b for a, b in joined if a in edge} | {a for a, b in joined if b in edge}
        edge -= reached
        reached |= edge
        steps += 1
    return steps if other in reached else None


@given(briefs())
def test_one_change_is_said_of_one_step_only(made: Made) -> None:
    parents = made[0]
    seen = evidence_of(*made)
    labels = {one.id: one.label for one in seen.trials}
    for one, other in pairs_of(len(parents)):
        found = between(seen.parents, f"t{one}", f"t{other}")
        steps = steps_between(parents, one, other)
        assert (len(found.steps) if found.related else None) == steps
        told = agreement_words(found, (), labels)
        assert ("One step" in told) == (steps == 1)
        assert (f"{steps} steps lie" in told) == (steps is not None and steps > 1)
        assert ("no origin" in told) == (steps is None)


def test_nothing_is_said_of_the_change_where_something_else_differs() -> None:
    one, other = trial(), trial(id="other", batch="another")
    found = between({"t0": None, "t1": "t0"}, "t0", "t1")
    assert agreement_words(found, mismatches(one, other, date(2026, 1, 1)), {"t1": "8"}) == ""


# --- which method finds less ------------------------------------------------------------------------------------------


def test_a_tetrad_finds_less_than_a_triangle_up_to_the_size_that_is_told() -> None:
    """Held against simulated noses: four or three normal percepts; the share by which the distance may shrink."""
    found = finer("tetrad", "triangle")
    assert found is not None
    draw = np.random.default_rng(5)
    for distance in (0.5, 1.0, 2.0, found.up_to):
        shrunk = distance * (1 - found.spare)
        assert _tetrad(draw, distance) > _triangle(draw, distance) + 0.01
        assert _tetrad(draw, shrunk) > _triangle(draw, distance) - 0.004  # as good still, up to chance
    assert found.right == pytest.approx(_triangle(draw, found.up_to), abs=0.005)
    told = finer_words(found)
    assert f"up to differences that a triangle gets right in {int(100 * found.right)} of 100" in told
    assert f"{int(100 * found.spare)} % nearer" in told


def _triangle(draw: np.random.Generator, distance: float, noses: int = 400_000) -> float:
    """Of A A B the nose calls that one odd which lies furthest from the two others."""
    a = draw.normal(size=(noses, 2))
    b = draw.normal(distance, size=noses)
    alike = abs(a[:, 0] - a[:, 1])
    return float(((alike < abs(a[:, 0] - b)) & (alike < abs(a[:, 1] - b))).mean())


def _tetrad(draw: np.random.Generator, distance: float, noses: int = 400_000) -> float:
    """Of A A B B the two lowest go together, and the two highest."""
    a = draw.normal(size=(noses, 2))
    b = draw.normal(distance, size=(noses, 2))
    return float(((a.max(axis=1) < b.min(axis=1)) | (b.max(axis=1) < a.min(axis=1))).mean())


def test_no_claim_where_it_does_not_hold() -> None:
    assert finer("triangle", "tetrad") is None
    assert finer("2-afc", "triangle") is None  # another guessing: shares right cannot be held side by side
    for step in range(4, 61):
        sizes = [statistics.panel_size(m, 0.05, 0.05, d_prime=step / 20, rule="stays") for m in ("2-afc", "triangle")]
        assert sizes[0] < sizes[1]  # what the plan page says of the 2-AFC


# --- what was said of one trial ---------------------------------------------------------------------------------------


def test_what_was_said_of_a_trial_is_told_with_its_counts_and_stays_when_frozen() -> None:
    one = replace(
        made_briefs.preference(1, ("t0", "t1"), (0, 12, 0)),
        said=(Said("t1", "strip", "strength", (("very weak", 2), ("weak", 7), ("medium", 3))),),
    )
    seen = made_briefs.brief(made_briefs.trials(2), [one])
    ((session, said),) = called(seen, "t1")
    assert session.session_id == "s1"
    assert said_line(said, seen) == "Of trial 101, how strong it is: 2 very weak, 7 weak, 3 medium (12 people)."
    assert "; but 9 of 12 people called it weak or very weak." in headline(proposal(seen), seen)
    assert thawed(frozen(seen)) == seen


def test_evidence_frozen_before_reads_as_it_was_written() -> None:
    """A decision of an earlier version holds no such words and no lost answers: it is read to their absence."""
    seen = made_briefs.brief(made_briefs.trials(2), [made_briefs.preference(1, ("t0", "t1"), (0, 12, 0))])
    old = json.loads(frozen(seen))
    for session in old["value"]["sessions"]:
        del session["said"]
        for point in session["points"]:
            del point["planned"], point["lost"]
    assert thawed(json.dumps(old)) == seen


def test_a_lead_is_explained_in_one_sentence_that_promises_nothing() -> None:
    assert LEAD_IS.endswith(".")
    assert LEAD_IS.count(".") == 1
    assert "a final sealed on the page Series" in LEAD_IS, "what turns it into a keep, and where"
