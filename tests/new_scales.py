"""Three scales that the house does not have, registered here alone: rows for as long as a block lasts.

``five``: five labelled steps, spread over the points. ``unsure``: yes, no, or unsure, which is no number.
``likeness``: a family of its own, one of three words, of which people are counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import pandas as pd

from evaluation.counting.profiles import COUNTED, Count, ProfileFound
from evaluation.values.descriptors import Descriptor
from evaluation.values.scales import Scale, Step, registered
from evaluation.wording.of_profiles import COUNTS, SCALES, CountWords, ScaleWords

FIVE: Any = "five"
UNSURE: Any = "unsure"
LIKENESS: Any = "likeness"
STEPS = ("none", "slight", "medium", "strong", "very strong")
NEW = (
    Scale(
        name=FIVE,
        control="options",
        steps=tuple(Step(said, 2.5 * place) for place, said in enumerate(STEPS)),
        columns=3,
    ),
    Scale(
        name=UNSURE,
        control="options",
        family="checked",
        steps=(Step("no", 0.0, "n"), Step("yes", 1.0, "y"), Step("unsure", None, "u")),
        outs=("skip",),
        columns=3,
    ),
    Scale(
        name=LIKENESS,
        control="options",
        family="likeness",
        steps=tuple(Step(said, float(place)) for place, said in enumerate(("flower", "wood", "other"))),
        columns=3,
    ),
)


def rated() -> tuple[Descriptor, ...]:
    """One word on each of them; refused while they are not known."""
    return Descriptor("dry", FIVE), Descriptor("mossy", UNSURE), Descriptor("nearest", LIKENESS)


def _counts(rows: pd.DataFrame, found: ProfileFound) -> pd.DataFrame:
    """People by word, one row for each thing rated, trial and age."""
    by = ["descriptor", "trial", "age_minutes"]
    return rows.groupby(by, observed=True)["rating"].value_counts().rename("people").reset_index()


def _lines(found: pd.DataFrame, alpha: float) -> Iterator[str]:
    words = [one.said for one in NEW[2].steps]
    for row in found.itertuples():
        yield f"{row.descriptor} of trial {row.trial}: {row.people} said {words[int(row.rating)]}."


@contextmanager
def new_scales() -> Iterator[None]:
    """The scales and their rows; a real one would put each row into its table."""
    words = {
        FIVE: ScaleWords(name="Five steps", many="steps", how="in five steps"),
        UNSURE: ScaleWords(name="Yes, no or unsure", many="answers", how="as yes, no or unsure"),
        LIKENESS: ScaleWords(name="Flower, wood, other", many="likenesses", how="as flower, wood or other"),
    }
    told = CountWords(title="What it is like", short="Likeness", about="People.", file="likeness", lines=_lines)
    with ExitStack() as rows:
        for scale in NEW:
            rows.enter_context(registered(scale))
            rows.enter_context(SCALES.registered(scale.name, words[scale.name]))
        rows.enter_context(COUNTED.registered("likeness", Count(_counts, lambda found: found)))
        rows.enter_context(COUNTS.registered("likeness", told))
        yield
