"""What trials are made of and what was changed between them, for a report in which the conductor ticked that."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from evaluation.actions import formulas, pins
from evaluation.actions.opened import Findings
from evaluation.deciding.pinning import Pinning
from evaluation.formulas import Difference, Formula, table_of
from evaluation.report.blocks import Block, Report, head, lines, table
from evaluation.report.packed_formulas import CARRIES
from evaluation.sheets.pieces import Text
from evaluation.store import Notebook
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_formulas, of_pinning

CARRIES_NONE: Final = "Formulas were ticked for this file, and the trial book has none of these trials."
_COLUMNS: Final = ("Material or accord", "Parts", "Stock, %", "Lot", "In accord")


def with_formulas(
    report: Report,
    notebook: Notebook,
    labels: Mapping[str, str],
    pairs: Iterable[tuple[str, str]],
    found: Findings[Any] | None = None,
) -> Report:
    """The report, saying first that it carries formulas, and last the changes between ``pairs`` and every formula.

    ``labels`` by id of the trials it is about; ``found``: of a session, with what that can be pinned on by name.
    The numbers of a report never carry a formula.
    """
    known = formulas.of_trials(notebook, labels)
    if not known:
        return replace(report, blocks=(Text(CARRIES_NONE), *report.blocks))
    changes = formulas.between_all(notebook, pairs)
    told: list[Block] = [head("What was changed between trials"), *_changes(changes, labels)] if changes else []
    told += _pinned(pins.pinned(notebook, found)) if found else []
    told.append(head("What the trials are made of"))
    told += [block for trial_id, label in labels.items() for block in _formula(label, known.get(trial_id))]
    return replace(report, blocks=(Text(CARRIES, "lead"), *report.blocks, *told))


def _changes(changes: Mapping[tuple[str, str], Difference], labels: Mapping[str, str]) -> list[Block]:
    told: list[Block] = []
    for (first, second), one in changes.items():
        names = trial_name(labels[first]), trial_name(labels[second])
        told.append(Text(f"{sentence_case(names[0])} → {names[1]}: {of_formulas.counted(one)}", "lead"))
        told += lines((*of_formulas.change_lines(one), of_formulas.scale_words(one, *names)))
    return told


def _pinned(pinned: Sequence[Pinning]) -> list[Block]:
    if not pinned:
        return []
    named = [line for one in pinned for line in of_pinning.pinned_lines(one)]
    return [head("What this can be pinned on"), *lines(named), *lines(of_pinning.assumptions(pinned))]


def _formula(label: str, formula: Formula | None) -> list[Block]:
    name = sentence_case(trial_name(label))
    if formula is None:
        return [Text(f"{name}: its formula is not in the trial book.")]
    told = [Text(f"{name}: {of_formulas.total_words(formula)}", "lead"), *lines([of_formulas.lacking_words(formula)])]
    return [*told, *table(_COLUMNS, table_of(formula), (3, 1, 1, 1, 2))]
