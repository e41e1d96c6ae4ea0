"""What all trials of a brief are worth to a panel, as one model of paired preferences sees it.

The model: what one change does to a trial's merit is normal about 0, so that children resemble the trial they were made
from; what a trial is worth to one person differs from that normally; one of two is chosen with chance Φ(difference).
Merit is in standard deviations of one choice: a trial better by 0.253 is chosen by 60 of 100, by 0.524 by 70. How far
changes and people differ is not known: each may be half, once or twice what is usual, and the answers weigh these.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from evaluation.errors import ArgumentError
from evaluation.ground.checks import real, whole
from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.preference.pair_tables import PairTable, pair_table
from evaluation.statistics.preference.paired_belief import Belief, Cells, believed, mixed

STEP = 0.45  # usual spread of what one change does (ours: nobody has measured it)
PERSON = 0.30  # usual spread of what a trial is worth to one person beside the others (ours as well)
APART = 2.0  # spread between the beginnings of two lines, in steps
_TIMES = (0.5, 1.0, 2.0)
# Wide spreads are thought likelier than they would be by symmetry: one nose gives too few answers to learn them, and
# who takes them too narrow is surer of a lead than who takes them too wide is unsure of it.
_ODDS = (0.12, 0.38, 0.50)
MOST_DRAWS = 100_000


@dataclass(frozen=True, slots=True, eq=False)
class BriefMerits:
    """The model's belief about the mean merits of the panel.

    It is a belief under assumptions about trials and people that nobody tested on this panel: its chances are the
    model's, and no verdict; they hold no risk of error, however often they are looked at.

    Attributes
    ----------
    expected : merit of each trial; only differences mean anything.
    best_chance : chance that each trial is the best of them for these people; they sum to 1.
    pick : place of the trial with the highest expected merit.
    foreseen_loss : merit expected to be lost by taking ``pick`` now, against the best there is.
    deviation : standard deviation of the merit of each trial over ``pick``.
    drawn : draws × trials, merits drawn from the belief; what the chances were counted from.
    step, person : expected spreads of changes and of people, after the answers.
    seed : of the draws.
    """

    expected: Floats
    best_chance: Floats
    pick: int
    foreseen_loss: float
    deviation: Floats
    drawn: Floats
    step: float
    person: float
    seed: int


def brief_merits(
    wins: Any,
    parents: Sequence[int | None],
    ties: Any = None,
    *,
    step: float = STEP,
    person: float = PERSON,
    draws: int = 4000,
    seed: int = 0,
) -> BriefMerits:
    """What is each trial of a brief worth to the people of a panel, as a model sees it?

    Parameters
    ----------
    wins : people × t × t array of whole numbers, 0 or more, t from 2 to 50
        ``wins[p, i, j]``: times p preferred i to j. A person without an answer belongs to the panel all the same.
    parents : sequence of t
        For each trial the place of the one it was made from, None at the start of a line.
    ties : the same shape as ``wins``, or None
        Times without a preference, symmetric or in one half only: half a vote for each side.
    step, person : float, 0.01 … 10
        Usual spreads, in merit, of what a change does and of people; half and twice of them are thought possible too.
    draws : int, 100 … 100000
        Merits drawn, from which chances are counted.
    seed : int, 0 or more
        Of the draws: the same seed gives the same result.

    Returns
    -------
    BriefMerits

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional or NaN; shapes that differ; parents that are no trial, or lead back to themselves.

    Notes
    -----
    A belief and no verdict. It assumes normal spreads and people who neither drift nor tire, looks at the panel given
    and not at people at large, and knows nothing of an effect of the place on the tray, which drawn orders only blur.
    A normal stands in for the belief under each pair of spreads (expectation propagation); the spreads are mixed by how
    well they foretell the answers.

    References
    ----------
    Thurstone 1927, Psychol. Rev. 34, 273-286 (case V, one choice); Minka 2001, UAI, 362-369 (expectation propagation);
    both from memory.

    Examples
    --------
    >>> wins = [[[0, 1, 0], [5, 0, 0], [0, 0, 0]]]
    >>> found = brief_merits(wins, [None, 0, 1])
    >>> found.pick, found.best_chance.round(1).tolist()
    (1, [0.0, 0.5, 0.4])
    """
    table = _table(wins, ties)
    steps = real("step", step, 0.01, 10.0), real("person", person, 0.01, 10.0)
    count = whole("draws", draws, 100, MOST_DRAWS)
    family = lineage_covariance(parents, table.trials)
    spreads = np.array([(a * steps[0], b * steps[1]) for a in _TIMES for b in _TIMES])
    odds = np.array([a * b for a in _ODDS for b in _ODDS])
    belief = believed(spreads[:, :1, None] ** 2 * family, spreads[:, 1] ** 2, len(table.wins), _cells(table))
    share = mixed(belief.evidence, odds)
    drawn = _drawn(belief, share, count, whole("seed", seed))
    return _told(belief, share, drawn, spreads, seed)


def lineage_covariance(parents: Sequence[int | None], trials: int) -> Floats:
    """How trials resemble one another, in squared steps: two share the changes on the way to where they parted."""
    if len(parents) != trials:
        raise ArgumentError(f"parents must name one trial or None for each of the {trials} trials, not {len(parents)}.")
    way = np.zeros((trials, 2 * trials))  # changes on the way to each trial, then beginnings of lines
    for trial in range(trials):
        line = _line(parents, trial)
        way[trial, line] = 1.0
        way[trial, line[-1]] = 0.0
        way[trial, trials + line[-1]] = APART
    return np.asarray(way @ way.T)


def _line(parents: Sequence[int | None], trial: int) -> list[int]:
    """The trial, the one it was made from, and so on."""
    line = [trial]
    while (parent := parents[line[-1]]) is not None:
        if whole("parents", parent, 0, len(parents) - 1) in line:
            raise ArgumentError(f"parents must not lead back to the same trial, and {parent} comes from itself.")
        line.append(int(parent))
    return line


def _table(wins: Any, ties: Any) -> PairTable:
    """Checked; a table without any answer is a belief too."""
    raw = np.asarray(wins)
    if raw.ndim != 3 or not len(raw):
        raise ArgumentError(f"wins must be people × t × t with at least one person, not of shape {raw.shape}.")
    return pair_table(wins, ties, None, empty=True)


def _cells(table: PairTable) -> Cells:
    counts = table.cells().astype(np.float64)
    pairs = np.array([(i, j) for i in range(table.trials) for j in range(i + 1, table.trials)], dtype=np.int64)
    person, pair = np.nonzero(counts.sum(axis=2))
    asked = counts[person, pair]
    half = asked[:, 2] / 2.0 if asked.shape[1] > 2 else np.zeros(len(asked))
    return Cells(person, pairs[pair, 0], pairs[pair, 1], asked[:, 0] + half, asked[:, 1] + half)


def _drawn(belief: Belief, share: Floats, draws: int, seed: int) -> Floats:
    """Merits drawn: of each pair of spreads as many as it is believed."""
    rng = np.random.default_rng(seed)
    whose = np.repeat(np.arange(len(share)), rng.multinomial(draws, share))
    values, vectors = np.linalg.eigh(belief.covariance)
    root = vectors * np.sqrt(np.maximum(values, 0.0))[:, None, :]
    noise = rng.standard_normal((draws, belief.mean.shape[1]))
    return np.asarray(belief.mean[whose] + np.einsum("dij,dj->di", root[whose], noise))


def _told(belief: Belief, share: Floats, drawn: Floats, spreads: Floats, seed: int) -> BriefMerits:
    expected = share @ belief.mean
    pick = int(expected.argmax())
    best = np.bincount(drawn.argmax(axis=1), minlength=drawn.shape[1]) / len(drawn)
    step, person = share @ spreads
    return BriefMerits(
        expected - expected.mean(),
        best,
        pick,
        float((drawn.max(axis=1) - drawn[:, pick]).mean()),
        (drawn - drawn[:, [pick]]).std(axis=0),
        drawn,
        float(step),
        float(person),
        seed,
    )
