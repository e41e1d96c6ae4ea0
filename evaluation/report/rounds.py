"""The report of a round of pairs or a ranking: people for each pair, one scale where there is one, its cautions."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from evaluation import tables_rounds, wording_rounds
from evaluation.actions.round_findings import RoundFindings
from evaluation.charts import rounds as drawn
from evaluation.report import methods, numbers
from evaluation.report.blocks import Block, Chart, Report, framed, head, lines, noted, record, remarks, table
from evaluation.report.two import WIDTH, blind
from evaluation.rounds import RoundFound
from evaluation.sheets.values import Text
from evaluation.trials import sentence_case, trial_name

_PAIRS: Final = (
    "Each bar counts people, in front the trial more of them prefer; between, those who liked both as often. Filled "
    "dark where the preference is shown. Dashed: one half."
)
_MERITS: Final = "Dot: chance of being preferred to the best, ties aside, with its interval by people; each by itself."


def report(found: RoundFindings, instant: int) -> Report:
    """Everything of an opened round or ranking; ``instant`` is that of the last line of its log."""
    about, session = found.context, found.context.session
    blocks: list[Block] = [
        Text(f"Brief: {about.brief_title}. {sentence_case(trial_name(*about.names))}."),
        head("What was found"),
        *(Text(line, "lead") for part in found.found for line in _summary(found, part)),
        head("What was planned and sealed"),
        *lines(wording_rounds.plan_lines(session.plan, about.names)),
        *record(about),
        *(block for part in found.found if part.answered for block in _part(part)),
        head("What came in, and deviations"),
        *lines(_came(found)),
        *(noted(about.noted) or [Text("No deviation was noted.")]),
        *remarks(about.remarks),
        head("What this does not say, and what it rests on"),
        *lines(_cautions(found)),
        head("Methods"),
        *lines(methods.lines_of(session.plan)),
    ]
    told = numbers.of_round(found)
    return Report(session.plan.title, session.sealed_hash[:12], instant, session.plan.zone, tuple(blocks), told)


def _summary(found: RoundFindings, part: RoundFound) -> Iterable[str]:
    where = f"On {part.medium}: " if len(found.found) > 1 else ""
    return (f"{where}{line}" for line in wording_rounds.summary_lines(part))


def _part(part: RoundFound) -> list[Block]:
    told: list[Block] = [head(f"People for each pair, on {part.medium}")]
    pairs, merits = tables_rounds.pair_rows(part), tables_rounds.merit_rows(part)
    told += [Chart(drawn.pairs(pairs, width=WIDTH), _PAIRS)] if len(pairs) else []
    told += [Chart(drawn.merits(merits, width=WIDTH), _MERITS)] if len(merits) else []
    told += table(("Number", "Value"), wording_rounds.facts(part))
    for frame in (tables_rounds.pairs(part), tables_rounds.merits(part)):
        told += framed(frame.drop(columns="medium")) if len(frame) else []
    nearer = [(name, str(number)) for name, number in part.nearer]
    return told + table(("Trial", "Times nearer to the brief"), nearer)


def _came(found: RoundFindings) -> Iterable[str]:
    for part in found.found:
        yield f"On {part.medium}: {wording_rounds.came_line(part.came)}"
        if part.reduced:
            yield "With every answer, also those the sealed rule leaves out; the findings are the sealed ones:"
            yield from wording_rounds.summary_lines(part.of_all)


def _cautions(found: RoundFindings) -> Iterable[str]:
    yield "This session is judged alone: answers of other sessions are never added to it."
    for part in found.found:
        yield from wording_rounds.caveats(part)
    yield from blind(found.context)
