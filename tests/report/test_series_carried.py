"""Files and reports of a sitting carry its series: the copy stands by itself, the report names what it counts in."""

from __future__ import annotations

import json
from typing import Any

import pytest

from evaluation.actions import decide
from evaluation.actions.findings import findings
from evaluation.clock import SteppedClock
from evaluation.deciding.evidence import frozen, thawed
from evaluation.errors import StoreError
from evaluation.ground.canonical import canonical
from evaluation.report import brief as brief_report
from evaluation.report import two
from evaluation.report.export import export, opened
from evaluation.sheets.pieces import Text
from evaluation.store import Notebook
from tests.scenes import scene
from tests.sittings_played import a_final, a_series, tell_apart, vote


@pytest.fixture
def kept(notebook: Any) -> Any:
    """A series of one sitting, and a final that speaks for the second trial."""
    here = scene(notebook, 9)
    series = a_series(here, 2)
    session = tell_apart(here, series, lambda seat, place: True)
    final = a_final(here, 9)
    vote(here, final, {})
    return here, series, session


def words(blocks: Any) -> str:
    return "\n".join(one.text for one in blocks if isinstance(one, Text))


def test_a_copy_of_a_sitting_holds_its_series_and_stands(kept: Any) -> None:
    here, series, session = kept
    with opened(export(here.notebook, session.id)) as copy:
        assert copy.log_held
        with copy.notebook.reading() as tx:
            assert tx.series.series(series.id).hash == series.hash
            assert tx.sittings.session(session.id).plan.series_id == series.id


def test_a_copy_whose_series_was_exchanged_is_refused(kept: Any) -> None:
    here, _, session = kept
    with here.notebook.reading() as tx:
        copy = json.loads(canonical(tx.copies.take_out(session.id)))["value"]
    copy["rows"]["series"][0]["hash"] = "another"
    other = Notebook.open(None, SteppedClock(step=1))
    with other.writing() as tx:
        tx.copies.lay_in(copy)
        assert not tx.log.verify(session.id)
    del copy["rows"]["series"]
    another = Notebook.open(None, SteppedClock(step=1))
    with pytest.raises(StoreError), another.writing() as tx:
        tx.copies.lay_in(copy)


def test_the_report_of_a_sitting_names_its_series_and_gives_no_verdict(kept: Any) -> None:
    here, series, session = kept
    told = words(two.report(findings(here.notebook, session.id), 0).blocks)
    assert f"A sitting of the series “{series.plan.title}”, sealed under {series.hash[:12]}" in told
    assert "These answers count in the series this sitting was sealed for" in told
    assert "Series: evidence that multiplies over sittings" in told
    assert "exact binomial test" not in told


def test_the_report_of_a_brief_proposes_keep_by_its_final(kept: Any) -> None:
    here, _, _ = kept
    told = words(brief_report.report(here.notebook, here.brief_id).blocks)
    assert "Keep trial 8: the answers of its final speak 66.6 to 1 for it (25 to 1 was asked)." in told
    assert "This panel chose the same one again: 2 noses had answered about these two before." in told
    assert "at most one brief in twenty" not in told
    assert "Final over 1 sitting: it speaks for the trial" in told
    assert "Series over 1 sitting: undecided" in told


def test_a_decision_freezes_what_series_and_finals_said(kept: Any) -> None:
    here, _, _ = kept
    seen = decide.evidence(here.notebook, here.brief_id)
    assert [one.summed.final for one in seen.sessions if one.summed] == [False, True]
    assert thawed(frozen(seen)) == seen
