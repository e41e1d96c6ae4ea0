"""Does a nose miss a material: over opened sessions of one brief, against scipy's Fisher test."""

from __future__ import annotations

from typing import Any

import pytest
from scipy.stats import fisher_exact

from evaluation.actions import anosmia, bench, book, findings, plan, seal
from evaluation.errors import ArgumentError
from tests import scenes
from tests.actions.test_findings import Noses

REPLICATES = 12


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=4)


def smelt(scene: scenes.Scene, changed: str, right: tuple[int, ...], *, open_it: bool = True, **changes: Any) -> str:
    """A session whose second trial says ``changed``; each nose right in so many of its twelve sets."""
    label = f"{len(book.trials(scene.notebook, scene.brief_id)) + 10}"
    second = book.add_trial(scene.notebook, scene.brief_id, label, scene.trial_ids[0], changed)
    draft = scene.plan(replicates=REPLICATES, second_trial_id=second.id, title=changed, **changes)
    session = bench.start(scene.notebook, seal.seal(scene.notebook, plan.add_draft(scene.notebook, draft).id).id)
    noses = Noses(scene, session)
    for seat, hits in enumerate(right, start=1):
        sets = iter(range(REPLICATES))

        def how(asked: Any, hits: int = hits, sets: Any = sets) -> str:
            return noses.choice(asked, next(sets) < hits) if asked.name == "choice" else asked.options[0]

        scenes.answer_all(scene.notebook, noses.ballot(seat), how)
    bench.close(scene.notebook, session.id)
    if open_it:
        findings.open_session(scene.notebook, session.id)
    return session.id


def test_who_never_notices_the_musk_but_notices_the_rest_is_named(scene: scenes.Scene) -> None:
    musk = smelt(scene, "Ambrette musk 2 to 4", (2, 12, 11, 12))
    smelt(scene, "vetiver 2 to 3", (11, 12, 11, 11))
    found = anosmia.gaps(scene.notebook, scene.brief_id, "musk", [musk])
    ((alias, one),) = found.missed
    assert (alias, one.correct_with, one.assessments_with, one.correct_without) == ("Nose 1", 2, 12, 11)
    others = fisher_exact([[2, 10], [35, 1]], alternative="less").pvalue
    own = fisher_exact([[2, 10], [11, 1]], alternative="less").pvalue
    assert one.p_value == pytest.approx(max(others, own))
    assert one.p_family == pytest.approx(4 * max(others, own))  # Holm's first step over four people
    assert (found.touched, found.others, found.people, found.method) == (1, 1, 4, "triangle")


def test_nobody_is_named_without_other_sessions_or_for_noticing_little_anywhere(scene: scenes.Scene) -> None:
    musk = smelt(scene, "musk", (2, 12, 12, 12))
    assert anosmia.gaps(scene.notebook, scene.brief_id, "musk", [musk]).missed == ()
    smelt(scene, "vetiver", (3, 12, 12, 12))
    assert anosmia.gaps(scene.notebook, scene.brief_id, "musk", [musk]).missed == ()


def test_answers_after_the_stop_of_a_session_with_looks_are_not_counted(scene: scenes.Scene) -> None:
    """24 of 24 right at the first look stop it: the second half of the panel answered after that."""
    musk = smelt(scene, "musk", (12,) * 4, look_every=24, pd=scenes.Decimal("0.5"))
    assert anosmia.gaps(scene.notebook, scene.brief_id, "musk", [musk]).people == 2
    whole = smelt(scene, "more musk", (12,) * 4)
    assert anosmia.gaps(scene.notebook, scene.brief_id, "musk", [whole]).people == 4


def test_only_opened_sessions_are_offered(scene: scenes.Scene) -> None:
    closed = smelt(scene, "musk", (2, 12, 12, 12), open_it=False)
    assert anosmia.comparisons(scene.notebook, scene.brief_id) == ()
    with pytest.raises(ArgumentError, match="sessions must be opened ones"):
        anosmia.gaps(scene.notebook, scene.brief_id, "musk", [closed])


def test_sessions_of_two_methods_are_not_mixed(scene: scenes.Scene) -> None:
    both = [smelt(scene, "musk", (12,) * 4), smelt(scene, "more musk", (12,) * 4, method="tetrad")]
    with pytest.raises(ArgumentError, match="all of one method"):
        anosmia.gaps(scene.notebook, scene.brief_id, "musk", both)
    given = anosmia.comparisons(scene.notebook, scene.brief_id)
    assert len({one.method for one in anosmia.naming(given, " MUSK ")}) == 1
    assert anosmia.naming(given, "") == anosmia.naming(given, "rose") == ()


def test_a_person_alone_is_compared_with_nobody(scene: scenes.Scene) -> None:
    alone = smelt(scene, "musk", (2,), people=1)
    with pytest.raises(ArgumentError, match="two or more"):
        anosmia.gaps(scene.notebook, scene.brief_id, "musk", [alone])
