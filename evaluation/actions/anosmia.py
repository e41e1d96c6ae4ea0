"""Does a nose miss a material that the others notice? Asked over opened sessions of one brief, never before."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from evaluation import statistics
from evaluation.actions.two_findings import rows_that_count
from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.kinds import Method
from evaluation.statistics import MissedMaterial
from evaluation.store import Notebook

ALPHA = 0.05  # of naming anybody wrongly


@dataclass(frozen=True, slots=True)
class Comparison:
    """An opened forced-choice session; ``changed`` is what the book says was changed in its second trial."""

    session_id: str
    title: str
    method: Method
    changed: str


@dataclass(frozen=True, slots=True)
class Gaps:
    """Who seems to miss ``material``: (alias, test) of each; ``people`` smelt both kinds of session or the first.

    ``touched`` sessions changed the material, ``others`` of the same brief and method did not.
    """

    material: str
    method: Method
    alpha: float
    touched: int
    others: int
    people: int
    missed: tuple[tuple[str, MissedMaterial], ...]


def comparisons(notebook: Notebook, brief_id: str) -> tuple[Comparison, ...]:
    """The opened sessions of a brief whose answers are right or wrong, by method; none of two bottles of one trial."""
    with notebook.reading() as tx:
        found = [
            Comparison(one.id, one.plan.title, one.plan.method, tx.book.trial(one.plan.second_trial_id).changed)
            for one in tx.sittings.sessions(brief_id)
            if one.state == "opened" and one.plan.kind.judged and not one.plan.meant
        ]
    return tuple(sorted(found, key=lambda one: one.method))


def naming(found: Iterable[Comparison], material: str) -> tuple[Comparison, ...]:
    """Those whose change names the material, of the method most of them have: a first guess for the conductor."""
    wanted = material.strip().casefold()
    named = [one for one in found if wanted and wanted in one.changed.casefold()]
    groups = [tuple(group) for _, group in groupby(named, key=lambda one: one.method)]
    return max(groups, key=len, default=())


def gaps(notebook: Notebook, brief_id: str, material: str, session_ids: Sequence[str]) -> Gaps:
    """Who notices less than the others in the sessions that changed ``material``, and less than elsewhere."""
    material = checks.text("material", material, 80)
    given = comparisons(notebook, brief_id)
    touched = [one for one in given if one.session_id in session_ids]
    methods = {one.method for one in touched}
    if len(methods) != 1 or len(touched) != len(set(session_ids)):
        raise ArgumentError("sessions must be opened ones of this brief, one or more, all of one method.")
    (method,) = methods
    others = [one for one in given if one.method == method and one not in touched]
    aliases: dict[str, str] = {}
    there, elsewhere = (_counts(notebook, group, aliases) for group in (touched, others))
    people = sorted({person for person, _ in there}, key=lambda person: aliases[person])
    if len(people) < 2:
        raise ArgumentError("people must be two or more who smelt these sessions: one is compared with the others.")
    columns = [[count[person, right] for person in people] for count in (there, elsewhere) for right in (True, False)]
    with_right, with_wrong, else_right, else_wrong = columns
    with_asked, else_asked = _sums(with_right, with_wrong), _sums(else_right, else_wrong)
    found = statistics.misses_material(with_right, with_asked, else_right, else_asked, method, ALPHA)
    missed = tuple((aliases[people[one.place]], one) for one in found.missed)
    return Gaps(material, method, ALPHA, len(touched), len(others), len(people), missed)


def _counts(notebook: Notebook, sessions: Iterable[Comparison], aliases: dict[str, str]) -> Counter[tuple[str, bool]]:
    """Right and wrong answers that count, by panelist; fills in the aliases."""
    found: Counter[tuple[str, bool]] = Counter()
    with notebook.reading() as tx:
        for session in sessions:
            for row in rows_that_count(tx, session.session_id):
                if row.panelist_id:
                    aliases[row.panelist_id] = row.panelist
                    found[row.panelist_id, bool(row.correct)] += 1
    return found


def _sums(right: Sequence[int], wrong: Sequence[int]) -> list[int]:
    return [sum(pair) for pair in zip(right, wrong, strict=True)]
