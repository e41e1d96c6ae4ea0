"""What a brief has taught as rows: for the map of one change, and as numbers beside it."""

from __future__ import annotations

import pandas as pd

from evaluation.deciding.taught import Learnt
from evaluation.wording.of_profiles import age_words, signed


def learnt_map(one: Learnt) -> pd.DataFrame:
    """Rows for the map of what one change moved; outside is what has no interval."""
    return pd.DataFrame(
        {
            "descriptor": [row.descriptor for row in one.rows],
            "age": [age_words(row.minutes) for row in one.rows],
            "difference": [row.estimate for row in one.rows],
            "sure": [row.moved for row in one.rows],
            "outside": [row.low is None for row in one.rows],
            "text": [signed(row.estimate) for row in one.rows],
        }
    )


def ages_of(one: Learnt) -> list[str]:
    """The ages of its rows in order, as the map names them."""
    return [age_words(minutes) for minutes in sorted({row.minutes for row in one.rows})]


def learnt_numbers(one: Learnt) -> pd.DataFrame:
    """The numbers of one change for the screen, in points; nothing where there is no interval."""
    return pd.DataFrame(
        {
            "descriptor": [row.descriptor for row in one.rows],
            "age": [age_words(row.minutes) for row in one.rows],
            "moved by": [signed(row.estimate) for row in one.rows],
            "from": ["" if row.low is None else signed(row.low) for row in one.rows],
            "to": ["" if row.high is None else signed(row.high) for row in one.rows],
            "bottles": [row.bottles for row in one.rows],
            "people": [row.people for row in one.rows],
            "degrees of freedom": [row.freedom for row in one.rows],
        }
    )
