"""Sittings of series and finals played through the app's actions, answered by rule, and opened."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from evaluation.actions import bench, findings, series_sittings
from evaluation.series import Final, SealedSeries, SearchSeries, Series
from evaluation.sessions import Session
from tests.scenes import Scene, answer_all, answer_by_worth, ballots, begun, key_of

Right = Callable[[int, int], bool]  # seat, place: whether this answer is right


def a_series(
    here: Scene, people: int, *, open_panel: bool = False, makers: tuple[str, ...] = (), **changes: Any
) -> Any:
    """A sealed search series of the scene's two trials."""
    plan = here.plan(people=people, **{"confirmed": (), **changes})
    made = Series(plan=plan, design=SearchSeries(), open_panel=open_panel, makers=makers)
    return series_sittings.seal_series(here.notebook, made)


def a_final(here: Scene, people: int, *, cap: int = 60, question: str = "preferred", **changes: Any) -> SealedSeries:
    """A sealed final for the scene's second trial."""
    makers = changes.pop("makers", ())
    method = "triangle" if question == "simpler" else "preference"
    plan = here.plan(people=people, **{"confirmed": (), "method": method, **changes})
    design = Final(question, "second", cap)  # type: ignore[arg-type]
    return series_sittings.seal_series(here.notebook, Series(plan=plan, design=design, makers=makers))


def seal(here: Scene, found: SealedSeries, people: Any = None, sets: int = 1) -> Session:
    """One more sitting of all the people named, or of some."""
    named = found.series.people if people is None else tuple(people)
    return series_sittings.seal_sitting(here.notebook, found.id, "A sitting", named, sets)


def vote(here: Scene, found: SealedSeries, votes: Mapping[int, float], people: Any = None) -> Session:
    """A sitting of preferences: at each seat the second trial (above 0), the first (below), or no preference (0)."""
    session = seal(here, found, people)
    bench.start(here.notebook, session.id)
    begun(here.notebook, session.id)
    answer_by_worth(here.notebook, session.id, lambda seat, letter: votes.get(seat, 1.0) * (letter == "B"))
    return opened(here, session)


def tell_apart(here: Scene, found: SealedSeries, right: Right, people: Any = None, sets: int = 1) -> Session:
    """A sitting of forced choices answered right or wrong by rule."""
    return smell_apart(here, seal(here, found, people, sets), right)


def smell_apart(here: Scene, session: Session, right: Right) -> Session:
    """A sealed sitting of forced choices, answered right or wrong by rule and opened."""
    bench.start(here.notebook, session.id)
    begun(here.notebook, session.id)
    orders, kind = dict(key_of(here.notebook, session.id).orders), session.plan.kind
    assert kind.forced is not None
    with here.notebook.reading() as tx:
        served = {one.id: one for one in tx.sittings.servings(session.id)}

    def how(asked: Any) -> str:
        if asked.name != "choice":
            return asked.options[0]
        own = served[asked.serving_id]
        answer = kind.forced.right(orders[own.id], own.codes, session.plan.expected)
        return answer if right(own.seat, own.place) else next(one for one in asked.options if one != answer)

    for one in ballots(here.notebook, session.id):
        answer_all(here.notebook, one.id, how)
    return opened(here, session)


def opened(here: Scene, session: Session) -> Session:
    bench.close(here.notebook, session.id)
    return findings.open_session(here.notebook, session.id)


def a_day_later(here: Scene) -> None:
    """One vote a nose and day."""
    here.notebook.clock.forward(minutes=24 * 60)
