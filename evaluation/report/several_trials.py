"""The report of a round of pairs or a ranking: people for each pair, one scale where there is one, its cautions."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from evaluation.actions.round_findings import RoundFindings
from evaluation.charts import round_pictures as drawn
from evaluation.counting.rounds import RoundFound
from evaluation.report import numbers, whole
from evaluation.report.blocks import Block, Chart, Report, framed, head, table
from evaluation.report.whole import WIDTH, Told
from evaluation.tables import standings
from evaluation.values.trials import sentence_case
from evaluation.wording import of_rounds, of_sealed_plans
from evaluation.wording.of_verdicts import on_media

_PAIRS: Final = (
    "Each bar counts people, in front the trial more of them prefer; between, those who liked both as often. Filled "
    "dark where the preference is shown. Dashed: one half."
)
_MERITS: Final = "Dot: chance of being preferred to the best, ties aside, with its interval by people; each by itself."


def report(found: RoundFindings, instant: int) -> Report:
    """Everything of an opened round or ranking; ``instant`` is that of the last line of its log."""
    told = Told(
        leads=whole.leads(found, of_rounds.summary_lines),
        parts=[block for part in found.found if part.answered for block in _part(part)],
        came=whole.came(found, _came),
        cautions=_cautions(found),
        below=(),
        numbers=numbers.of_round(found),
    )
    return whole.report(found, told, instant)


def _part(part: RoundFound) -> list[Block]:
    told: list[Block] = [head(f"People for each pair, {on_media([part.medium])}")]
    pairs, merits = standings.pair_rows(part), standings.merit_rows(part)
    told += [Chart(drawn.pairs(pairs, width=WIDTH), _PAIRS)] if len(pairs) else []
    told += [Chart(drawn.merits(merits, width=WIDTH), _MERITS)] if len(merits) else []
    told += table(("Number", "Value"), of_rounds.facts(part))
    for frame in (standings.pairs(part), standings.merits(part)):
        told += framed(frame.drop(columns="medium")) if len(frame) else []
    nearer = [(name, str(number)) for name, number in part.nearer]
    return told + table(("Trial", "Times nearer to the brief"), nearer)


def _came(part: RoundFound) -> Iterable[str]:
    yield f"{sentence_case(on_media([part.medium]))}: {of_rounds.came_line(part.came)}"
    if part.reduced:
        yield whole.EVERYTHING
        yield from of_rounds.summary_lines(part.of_all)


def _cautions(found: RoundFindings) -> Iterable[str]:
    yield of_sealed_plans.JUDGED_ALONE
    for part in found.found:
        yield from of_rounds.caveats(part)
    yield from whole.blind(found.context)
