"""What all trials of a brief are worth, against integrals taken on a grid, and what must hold whatever the answers."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import numpy.typing as npt
import pytest
from scipy.stats import norm

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import brief_merits
from evaluation.statistics.preference.brief_merits import lineage_covariance
from evaluation.statistics.preference.paired_belief import Cells, believed

Floats = npt.NDArray[np.float64]
ODDS = {0.5: 0.12, 1: 0.38, 2: 0.50}
SPREADS = [(ODDS[a] * ODDS[b], a, b) for a in ODDS for b in ODDS]


def answers(people: int, trials: int, *given: tuple[int, int, int, int]) -> npt.NDArray[np.int64]:
    """``given``: person, preferred, to, times."""
    wins = np.zeros((people, trials, trials), dtype=np.int64)
    for person, won, lost, times in given:
        wins[person, won, lost] += times
    return wins


def on_a_grid(covariance: Floats, wins: npt.NDArray[np.int64]) -> tuple[float, Floats, Floats, Floats]:
    """One nose and three trials, by a plain sum over the differences to the first: evidence, mean, covariance, best."""
    to_first = np.array([[-1.0, 1, 0], [-1, 0, 1]])
    prior = to_first @ covariance @ to_first.T
    line = np.linspace(-7.0, 7.0, 561)
    d1, d2 = np.meshgrid(line, line, indexing="ij")
    both = np.stack([d1, d2], axis=-1)
    logs = -0.5 * np.einsum("abi,ij,abj->ab", both, np.linalg.inv(prior), both)
    logs -= np.log(2 * np.pi) + 0.5 * np.linalg.slogdet(prior)[1]
    merit = [np.zeros_like(d1), d1, d2]
    for i, j in permutations(range(3), 2):
        logs += wins[0, i, j] * norm.logcdf(merit[i] - merit[j])
    weight = np.exp(logs) * (line[1] - line[0]) ** 2
    total = weight.sum()
    weight /= total
    mean = np.array([(weight * d1).sum(), (weight * d2).sum()])
    apart = both - mean
    best = np.argmax(np.stack(merit, axis=-1), axis=-1)
    return (
        float(np.log(total)),
        mean,
        np.einsum("ab,abi,abj->ij", weight, apart, apart),
        np.array([(weight * (best == k)).sum() for k in range(3)]),
    )


@pytest.mark.parametrize("given", [((0, 1, 0, 3),), ((0, 1, 0, 4), (0, 0, 1, 1), (0, 2, 1, 6), (0, 0, 2, 2))])
def test_one_nose_and_three_trials_as_by_integration(given: tuple[tuple[int, int, int, int], ...]) -> None:
    """The chances of every spread, mixed by its evidence: moments within .01, chances within .02 of exact ones."""
    wins = answers(1, 3, *given)
    family = lineage_covariance([None, 0, 1], 3)
    evidence, chances = [], []
    for _, a, b in SPREADS:
        covariance = (0.45 * a) ** 2 * family + (0.30 * b) ** 2 * np.eye(3)
        height, mean, spread, best = on_a_grid(covariance, wins)
        asked = np.array([(i, j) for i, j in ((0, 1), (0, 2), (1, 2)) if wins[0, i, j] + wins[0, j, i]])
        i, j = asked.T
        cells = Cells(np.zeros(len(i), dtype=np.int64), i, j, wins[0, i, j] * 1.0, wins[0, j, i] * 1.0)
        belief = believed((0.45 * a) ** 2 * family[None], np.array([(0.30 * b) ** 2]), 1, cells)
        to_first = np.array([[-1.0, 1, 0], [-1, 0, 1]])
        assert to_first @ belief.mean[0] == pytest.approx(mean, abs=0.01)
        assert to_first @ belief.covariance[0] @ to_first.T == pytest.approx(spread, abs=0.01)
        assert belief.evidence[0] == pytest.approx(height, abs=0.003)
        evidence.append(height)
        chances.append(best)
    weight = np.array([odds for odds, _, _ in SPREADS]) * np.exp(evidence)
    found = brief_merits(wins, [None, 0, 1], draws=40_000)
    assert found.best_chance == pytest.approx(weight @ np.array(chances) / weight.sum(), abs=0.02)


def test_people_who_differ_as_by_weighted_draws() -> None:
    """Two noses: half a million draws from the prior, weighted by how likely they make the answers."""
    wins = answers(2, 3, (0, 0, 1, 3), (0, 1, 0, 1), (1, 2, 1, 4), (1, 0, 2, 2), (1, 2, 0, 1))
    family = 0.45**2 * lineage_covariance([None, 0, 1], 3)
    rng = np.random.default_rng(5)
    common = rng.standard_normal((500_000, 3)) @ np.linalg.cholesky(family).T
    worth = common[:, None] + 0.30 * rng.standard_normal((500_000, 2, 3))
    logs = sum(
        wins[p, i, j] * norm.logcdf(worth[:, p, i] - worth[:, p, j])
        for p in range(2)
        for i, j in permutations(range(3), 2)
    )
    weight = np.exp(logs)
    person, pair = np.array([0, 1, 1]), np.array([(0, 1), (0, 2), (1, 2)])
    one, other = pair.T
    cells = Cells(person, one, other, wins[person, one, other] * 1.0, wins[person, other, one] * 1.0)
    belief = believed(family[None], np.array([0.09]), 2, cells)
    assert belief.evidence[0] == pytest.approx(np.log(weight.mean()), abs=0.01)
    panel = worth.mean(axis=1)
    panel = panel - panel.mean(axis=1, keepdims=True)
    mean = weight @ panel / weight.sum()
    assert belief.mean[0] - belief.mean[0].mean() == pytest.approx(mean, abs=0.012)
    spread = ((panel - mean) * weight[:, None]).T @ (panel - mean) / weight.sum()
    centred = np.eye(3) - 1 / 3
    assert centred @ belief.covariance[0] @ centred == pytest.approx(spread, abs=0.012)


def test_nothing_answered_is_the_prior() -> None:
    """Two trials, no answer: even chances; merit lost is E max(0, d), d normal, mixed over the spreads."""
    found = brief_merits(np.zeros((1, 2, 2), dtype=int), [None, 0], draws=40_000)
    assert found.best_chance == pytest.approx([0.5, 0.5], abs=0.01)
    lost = sum(odds * np.sqrt(((0.45 * a) ** 2 + 2 * (0.30 * b) ** 2) / (2 * np.pi)) for odds, a, b in SPREADS)
    assert found.foreseen_loss == pytest.approx(lost, abs=0.01)
    assert (found.step, found.person) == pytest.approx((0.45 * 1.44, 0.30 * 1.44))


def test_children_resemble_their_parents() -> None:
    """Of two trials nobody smelt, the child of the one that won is worth more than the child of the one that lost."""
    found = brief_merits(answers(3, 5, (0, 1, 2, 3), (1, 1, 2, 3), (2, 1, 2, 2)), [None, 0, 0, 1, 2])
    assert found.expected[3] > found.expected[0] > found.expected[4]


def test_order_of_trials_and_people_says_nothing() -> None:
    wins = answers(3, 4, (0, 1, 0, 3), (1, 2, 1, 2), (2, 3, 0, 1), (2, 0, 3, 1))
    parents = [None, 0, 1, 0]
    found = brief_merits(wins, parents, draws=20_000)
    turn = [2, 0, 3, 1]  # old place of each new one
    others = [None if parents[old] is None else turn.index(parents[old]) for old in turn]
    again = brief_merits(wins[::-1][:, turn][:, :, turn], others, draws=20_000)
    assert again.expected == pytest.approx(found.expected[turn], abs=1e-5)
    assert again.best_chance == pytest.approx(found.best_chance[turn], abs=0.02)
    assert again.foreseen_loss == pytest.approx(found.foreseen_loss, abs=0.01)


def test_a_tie_is_half_a_vote_for_each_side() -> None:
    even = answers(1, 3, (0, 0, 1, 2), (0, 1, 0, 2))
    tied = brief_merits(np.zeros_like(even), [None, 0, 1], ties=2 * np.minimum(even, 2))
    assert tied.expected == pytest.approx(brief_merits(even, [None, 0, 1]).expected)


def test_more_votes_make_it_surer_and_people_who_differ_count_apart() -> None:
    """Ten votes of one nose say less of a panel of five than two each of all five."""
    few, one, all_ = (
        answers(5, 2, *given) for given in ([(0, 1, 0, 2)], [(0, 1, 0, 10)], [(nose, 1, 0, 2) for nose in range(5)])
    )
    chances = [brief_merits(wins, [None, 0]).best_chance[1] for wins in (few, one, all_)]
    assert chances == sorted(chances)
    assert chances[1] < chances[2] - 0.03


def test_same_seed_same_result() -> None:
    wins = answers(2, 3, (0, 1, 0, 2), (1, 2, 0, 1))
    one, other, third = (brief_merits(wins, [None, 0, 0], seed=seed) for seed in (3, 3, 4))
    assert (one.drawn == other.drawn).all()
    assert (one.drawn != third.drawn).any()
    assert one.best_chance.sum() == pytest.approx(1)


def test_many_loud_answers_still_settle() -> None:
    """Hundreds of votes one way, and a circle of them: finite, and the circle is held to be even."""
    loud = brief_merits(answers(1, 3, (0, 1, 0, 400), (0, 2, 1, 400)), [None, 0, 1])
    assert loud.pick == 2
    assert loud.best_chance[2] > 0.99
    assert np.isfinite(loud.expected).all()
    circle = brief_merits(answers(1, 3, (0, 1, 0, 90), (0, 2, 1, 90), (0, 0, 2, 90)), [None, 0, 1])
    assert np.ptp(circle.expected) < 0.1


@pytest.mark.parametrize(
    ("how", "named"),
    [
        ({"wins": [[0, 1], [0, 0]]}, "wins"),
        ({"wins": [[[0, -1], [0, 0]]]}, "wins"),
        ({"wins": np.zeros((0, 2, 2))}, "wins"),
        ({"parents": [None]}, "parents"),
        ({"parents": [1, 0]}, "parents"),
        ({"parents": [None, 7]}, "parents"),
        ({"ties": [[[0, 1, 0]] * 3]}, "ties"),
        ({"step": 0}, "step"),
        ({"person": float("inf")}, "person"),
        ({"draws": 3}, "draws"),
        ({"seed": -1}, "seed"),
    ],
)
def test_what_is_refused_is_named(how: dict[str, object], named: str) -> None:
    asked: dict[str, object] = {"wins": [[[0, 1], [0, 0]]], "parents": [None, 0]} | how
    with pytest.raises((ArgumentError, KindError), match=named):
        brief_merits(**asked)  # type: ignore[arg-type]
