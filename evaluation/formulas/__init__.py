"""Formulas of trials: lines and accords, exact amounts, batches, pasted tables, and the change between any two."""

from __future__ import annotations

from evaluation.formulas.amounts import TOLERANCE, Opened, active_share, adds_up, opened, total, whole
from evaluation.formulas.batches import MOST_OFF_PERCENT, RESOLUTION, Batch, WeighIn, batch
from evaluation.formulas.changes import (
    ADDED,
    EXCHANGED,
    LOWERED,
    MADE_UP,
    OTHER_LOT,
    OTHER_STOCK,
    RAISED,
    REMOVED,
    Change,
    Difference,
    difference,
)
from evaluation.formulas.lines import PURE, Accord, Formula, Line, path
from evaluation.formulas.pasting import COLUMNS, Row, read_table
from evaluation.formulas.raw_materials import (
    CLASS_MINUTES,
    LATEST_MINUTES,
    VOLATILITIES,
    Material,
    as_decimal,
    exact,
    few_digits,
    name_key,
    percent,
)
from evaluation.formulas.typed_lines import Known, TypedLines, read_lines, sort_rows, table_of, written
from evaluation.formulas.windows import FITS, NOT_SAID, UNFITTING, fitting

__all__ = [
    "ADDED",
    "CLASS_MINUTES",
    "COLUMNS",
    "EXCHANGED",
    "FITS",
    "LATEST_MINUTES",
    "LOWERED",
    "MADE_UP",
    "MOST_OFF_PERCENT",
    "NOT_SAID",
    "OTHER_LOT",
    "OTHER_STOCK",
    "PURE",
    "RAISED",
    "REMOVED",
    "RESOLUTION",
    "TOLERANCE",
    "UNFITTING",
    "VOLATILITIES",
    "Accord",
    "Batch",
    "Change",
    "Difference",
    "Formula",
    "Known",
    "Line",
    "Material",
    "Opened",
    "Row",
    "TypedLines",
    "WeighIn",
    "active_share",
    "adds_up",
    "as_decimal",
    "batch",
    "difference",
    "exact",
    "few_digits",
    "fitting",
    "name_key",
    "opened",
    "path",
    "percent",
    "read_lines",
    "read_table",
    "sort_rows",
    "table_of",
    "total",
    "whole",
    "written",
]
