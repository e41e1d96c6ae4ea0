"""Effects of six separated changes against the loop a user would write; equal answers are asserted first."""

from __future__ import annotations

from itertools import product
from typing import Any, Final

import numpy as np
import pandas as pd

from benchmarks.rows import Row, compared, seconds
from evaluation.statistics import effects_of_changes, factorial

CHANGES: Final = ("cedar", "fig", "salt", "iris", "rose", "musk")
PEOPLE, DESCRIPTORS, AGES = 12, 20, (1.0, 5.0, 20.0, 60.0, 240.0, 480.0)
DRAWS: Final = 9_999


def ratings(fraction: int) -> pd.DataFrame:
    """Invented ratings of every bottle by everybody, tenths of a point."""
    random = np.random.default_rng(7)
    runs = factorial(CHANGES, fraction).runs.to_numpy()
    rows = [
        (f"P{person}", f"word {word}", age, *held)
        for person, word, age, held in product(range(PEOPLE), range(DESCRIPTORS), AGES, runs.tolist())
    ]
    frame = pd.DataFrame(rows, columns=["panelist", "descriptor", "age_minutes", *CHANGES])
    return frame.assign(rating=random.normal(5.0, 1.5, len(frame)).clip(0, 10).round(1))


def loop_by_person(frame: pd.DataFrame) -> tuple[Any, Any]:
    """Least squares for each person and row, every pattern of signs, the largest of each pattern."""
    cells = list(frame.groupby(["descriptor", "age_minutes"], sort=True))
    own = np.empty((PEOPLE, len(cells), len(CHANGES)))
    for at, (_, cell) in enumerate(cells):
        for number, (_, mine) in enumerate(cell.groupby("panelist", sort=True)):
            design = np.column_stack([np.ones(len(mine)), mine[list(CHANGES)].to_numpy() - 0.5])
            own[number, at] = np.linalg.lstsq(design, mine["rating"].to_numpy(), rcond=None)[0][1:]
    flat = own.reshape(PEOPLE, -1)
    unit = flat / np.sqrt((flat**2).sum(axis=0))
    largest = np.array([np.abs(np.array(signs) @ unit).max() for signs in product((1, -1), repeat=PEOPLE)])
    met = np.abs(unit.sum(axis=0))
    return flat.mean(axis=0), np.array([(largest >= one - 1e-10).mean() for one in met])


def loop_by_pairs(frame: pd.DataFrame) -> tuple[Any, Any]:
    """Every pair of bottles that differ in one change alone, drawn patterns, the largest within a change."""
    known = {
        (row.panelist, row.descriptor, row.age_minutes, *(getattr(row, name) for name in CHANGES)): row.rating
        for row in frame.itertuples(index=False)
    }
    cells = sorted({key[1:3] for key in known})
    people = sorted({key[0] for key in known})
    random, means, told = np.random.default_rng(0), [], []
    for place in range(len(CHANGES)):
        others = list(product((0, 1), repeat=len(CHANGES) - 1))
        pairs = np.array(
            [
                [
                    known[who, *cell, *held[:place], 1, *held[place:]]
                    - known[who, *cell, *held[:place], 0, *held[place:]]
                    for cell in cells
                ]
                for who in people
                for held in others
            ]
        )
        means.append(pairs.mean(axis=0))
        unit = pairs / np.sqrt((pairs**2).sum(axis=0))
        largest = [np.abs(random.choice((-1.0, 1.0), len(unit)) @ unit).max() for _ in range(DRAWS)]
        met = np.abs(unit.sum(axis=0))
        told.append([(np.sum(np.array(largest) >= one) + 1) / (DRAWS + 1) for one in met])
    return np.array(means), np.array(told)


def run() -> list[Row]:
    quarter, full = ratings(4), ratings(1)
    found = effects_of_changes(quarter, CHANGES).table
    estimate, p_family = loop_by_person(quarter)
    order = found.sort_values(["descriptor", "age_minutes"], kind="stable")
    assert np.allclose(order["estimate"], estimate)
    assert np.allclose(order["p_family"], p_family)
    paired = effects_of_changes(full, CHANGES, by="pairs", draws=DRAWS).table
    means, _ = loop_by_pairs(full)  # its patterns are drawn otherwise: only the means must be the same
    own = paired.sort_values(["descriptor", "age_minutes"], kind="stable")["estimate"].to_numpy()
    assert np.allclose(own.reshape(-1, len(CHANGES)), means.T)
    return [
        compared(
            "effects by person, 6 changes in 16 bottles",
            seconds(lambda: effects_of_changes(quarter, CHANGES), 3),
            seconds(lambda: loop_by_person(quarter)),
            "lstsq a person and row, every pattern; no intervals; 20 words, 6 ages, 12 people",
        ),
        compared(
            "effects by pairs, 6 changes in 64 bottles",
            seconds(lambda: effects_of_changes(full, CHANGES, by="pairs", draws=DRAWS), 3),
            seconds(lambda: loop_by_pairs(full)),
            f"a dictionary of ratings, {DRAWS:,} drawn patterns; no intervals; the same panel",
        ),
    ]
