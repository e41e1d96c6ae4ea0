"""Strips until the right trial of a brief is picked: the proposal by worth against three other orders.

    python -m benchmarks.next_smelling --trials 8 --noses 5 --briefs 400
    python -m benchmarks.next_smelling --calibration --step 0.9 --briefs 200

Briefs are drawn by a law of this file's own. Merit is in standard deviations of one choice; a loss of .10 gives away a
preference of 54 : 46. Every order is read off where its mean realised loss is the same, so that none gains by stopping
rashly: the other orders stop by a belief that knows the law's usual spreads, the proposal by the product's own.
Intervals are 95 %, from resampled briefs.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass, field
from math import erfc, exp, pi, sqrt

import numpy as np

from evaluation import statistics
from evaluation.deciding.top_two import pairs_tonight

STOPS = (0.20, 0.15, 0.10, 0.07, 0.05)  # foreseen losses at which a play is read off
STEP, PERSON, CHAIN = 0.45, 0.30, 0.70  # spread of a change, of a person; share of trials made from the one before
MOST_SITTINGS = 30
Pair = tuple[int, int, int]  # nose, one trial, the other


@dataclass(frozen=True)
class Law:
    trials: int = 8
    noses: int = 5
    step: float = STEP
    person: float = PERSON
    habit: float = 0.0  # spread of what a nose adds to the strip smelled first
    tie: float = 0.0  # difference under which no choice is made


@dataclass
class Season:
    """One brief, the answers given so far, and a belief that knows the usual law."""

    law: Law
    seed: int
    parents: list[int | None] = field(init=False)
    worth: np.ndarray = field(init=False)  # noses × trials
    known: tuple[int, statistics.BriefMerits] | None = None

    def __post_init__(self) -> None:
        rng, k, n = np.random.default_rng([self.seed, 7]), self.law.trials, self.law.noses
        self.parents = [None] + [c - 1 if rng.random() < CHAIN else int(rng.integers(c)) for c in range(1, k)]
        merits = np.zeros(k)
        for c in range(1, k):
            merits[c] = merits[self.parents[c]] + rng.normal(0, self.law.step)
        self.worth = merits + rng.normal(0, self.law.person, (n, k))
        self.habit, self.answered = rng.normal(0, self.law.habit, n), 0
        self.chance = np.random.default_rng([self.seed, 8])
        self.wins, self.ties = np.zeros((2, n, k, k), int)
        line = np.zeros((k, k))
        for c in range(1, k):
            line[c] = line[self.parents[c]] + np.eye(k)[c]
        self.mean = np.zeros(n * k)
        self.cov = np.tile(line @ line.T * STEP**2, (n, n)) + np.eye(n * k) * PERSON**2

    @property
    def panel(self) -> np.ndarray:
        """What each trial is truly worth to the mean of these noses."""
        return self.worth.mean(axis=0)

    def smell(self, nose: int, one: int, other: int) -> None:
        first, second = (one, other) if self.chance.random() < 0.5 else (other, one)
        gap = self.worth[nose, first] - self.worth[nose, second] + self.habit[nose] + self.chance.normal()
        self.answered += 1
        if abs(gap) < self.law.tie:
            self.ties[nose, [one, other], [other, one]] += 1
            return
        won, lost = (first, second) if gap > 0 else (second, first)
        self.wins[nose, won, lost] += 1
        self._learn(nose * self.law.trials + won, nose * self.law.trials + lost)

    def _learn(self, won: int, lost: int) -> None:
        """One moment-matching step of a probit."""
        v = self.cov[won] - self.cov[lost]
        scale = sqrt(1 + v[won] - v[lost])
        z = (self.mean[won] - self.mean[lost]) / scale
        rate = exp(-z * z / 2) / sqrt(2 * pi) / max(erfc(-z / sqrt(2)) / 2, 1e-12)
        self.mean = self.mean + v * (rate / scale)
        self.cov = self.cov - np.outer(v * (rate * (rate + z) / scale**2), v)

    def foreseen(self) -> tuple[int, float]:
        """The pick of the belief that knows the law, and the merit it foresees to lose."""
        n, k = self.law.noses, self.law.trials
        mean = self.mean.reshape(n, k).mean(0)
        cov = self.cov.reshape(n, k, n, k).mean((0, 2))
        noise = np.random.default_rng([self.seed, 9, self.answered]).standard_normal((300, k))
        drawn = mean + noise @ np.linalg.cholesky(cov + 1e-9 * np.eye(k)).T
        pick = int(mean.argmax())
        return pick, float((drawn.max(1) - drawn[:, pick]).mean())

    def product(self) -> statistics.BriefMerits:
        """What the product believes now; worked out once between two sittings."""
        if self.known is None or self.known[0] != self.answered:
            found = statistics.brief_merits(self.wins, self.parents, self.ties, seed=self.seed, draws=2000)
            self.known = self.answered, found
        return self.known[1]


# --- orders -----------------------------------------------------------------------------------------------------------


def in_turn(season: Season, each: int, wheel: list[tuple[int, int]]) -> list[Pair]:
    n = season.law.noses
    return [(at % n, *wheel[(season.answered + at) % len(wheel)]) for at in range(n * each)]


def round_robin(season: Season, each: int) -> list[Pair]:
    """Every pair in turn: neighbours, then second neighbours, and so on."""
    k = season.law.trials
    return in_turn(season, each, [(a, a + gap) for gap in range(1, k) for a in range(k - gap)])


def child_against_parent(season: Season, each: int) -> list[Pair]:
    return in_turn(season, each, [(c, p) for c, p in enumerate(season.parents) if p is not None])


def order_of_2026_11(season: Season, each: int) -> list[Pair]:
    """The order of what to smell next until this proposal, for preferences only, and flattered: votes add up here.

    A pair stands once the two-sided evidence for one side is 20, and is open before. Leaders against each other, open
    pairs, then trials never smelt against the proposed one, at most three at a time.
    """
    votes, bets = season.wins.sum(0), np.array([b / 5 for b in range(-4, 5) if b])[:, None, None]
    stands = np.exp(np.minimum(700, votes * np.log1p(bets) + votes.T * np.log1p(-bets))).mean(0) >= 20
    seen = votes + votes.T > 0
    pairs = [(int(a), int(b)) for a, b in np.argwhere(np.triu(seen))]
    won = [(a, b) if votes[a, b] > votes[b, a] else (b, a) for a, b in pairs if stands[a, b]]
    asks = _asks_of_2026_11(season, [pair for pair in pairs if not stands[pair]], won, ~seen.any(axis=1))
    asks = list(dict.fromkeys((min(pair), max(pair)) for pair in asks if len(set(pair)) == 2))[:3]
    return [(nose, *asks[s % len(asks)]) for s in range(each) for nose in range(season.law.noses) if asks]


def _asks_of_2026_11(
    season: Season, still: list[tuple[int, int]], won: list[tuple[int, int]], unsmelt: np.ndarray
) -> list[tuple[int, ...]]:
    winners, beaten = list(dict.fromkeys(w for w, _ in won)), {b for _, b in won}
    lead = [w for w in winners if w not in beaten]
    proposed = max(lead) if lead else winners[0] if winners else max(still[0]) if still else None
    behind = {b for w, b in won if lead == [w]}
    asks: list[tuple[int, ...]] = [tuple((lead or winners)[:2])]
    asks += [pair for pair in still if not behind & set(pair)]
    for t in np.flatnonzero(unsmelt)[::-1]:
        against = proposed if proposed is not None else season.parents[t]
        asks.append((0 if against is None else against, int(t)))
    return asks


def by_worth(season: Season, each: int) -> list[Pair]:
    """The product's own proposal."""
    found = season.product()
    asked = pairs_tonight(found.best_chance, season.law.noses, each, seed=season.seed + season.answered)
    return [(one.nose, one.first, one.second) for one in asked]


ORDERS: dict[str, Callable[[Season, int], list[Pair]]] = {
    "by worth": by_worth,
    "round robin": round_robin,
    "child against parent": child_against_parent,
    "order of 2026-11": order_of_2026_11,
}


# --- plays ------------------------------------------------------------------------------------------------------------


def played(name: str, law: Law, seed: int, strips: int) -> np.ndarray:
    """Strips, merit lost, best picked at each of STOPS, in one brief; what was not reached is read off at the end."""
    season, rows = Season(law, seed), np.full((len(STOPS), 3), np.nan)
    for _ in range(MOST_SITTINGS + 1):
        pick, foreseen = _believed(name, season)
        here = (2 * season.answered, season.panel.max() - season.panel[pick], pick == season.panel.argmax())
        rows[np.isnan(rows[:, 0]) & (foreseen <= np.array(STOPS))] = here
        asked = ORDERS[name](season, strips // 2) if np.isnan(rows).any() else []
        if not asked:
            break
        for pair in asked:
            season.smell(*pair)
    rows[np.isnan(rows[:, 0])] = here
    return rows


def _believed(name: str, season: Season) -> tuple[int, float]:
    if name != "by worth":
        return season.foreseen()
    found = season.product()
    return found.pick, found.foreseen_loss


def strips_at(curve: np.ndarray, target: float) -> float:
    """Strips at which a curve of means over STOPS loses ``target``; at its last stop where it never falls so far."""
    fall = np.minimum.accumulate(curve[:, 1])
    return float(np.exp(np.interp(-target, -fall, np.log(np.maximum(curve[:, 0], 1)))))


@dataclass(frozen=True)
class Compared:
    """Strips of one order where ``target`` is lost, and the share of them that the proposal takes, with intervals."""

    name: str
    reached: bool
    strips: tuple[float, float, float]  # point, low, high
    ratio: tuple[float, float, float]
    at_stop: np.ndarray  # strips, merit lost, best picked, where .10 is foreseen


def compared(law: Law, briefs: int, strips: int, target: float, seed: int, names: list[str]) -> list[Compared]:
    """The same briefs for each order; intervals from briefs drawn again."""
    again = np.random.default_rng(seed).integers(0, briefs, (400, briefs))
    got = {name: np.array([played(name, law, seed * 100_000 + i, strips) for i in range(briefs)]) for name in names}
    point = {name: strips_at(one.mean(0), target) for name, one in got.items()}
    boot = {name: np.array([strips_at(one[rows].mean(0), target) for rows in again]) for name, one in got.items()}
    found = []
    for name, one in got.items():
        low, high = np.quantile(boot[name], (0.025, 0.975))
        few, many = np.quantile(boot["by worth"] / boot[name], (0.025, 0.975))
        ratio = (point["by worth"] / point[name], float(few), float(many))
        curve = one.mean(0)
        found.append(
            Compared(name, curve[:, 1].min() <= target, (point[name], float(low), float(high)), ratio, curve[2])
        )
    return found


@dataclass(frozen=True)
class Bin:
    """Chances of one tenth: what was said on average, how often it was so, and half the interval of the gap."""

    said: float
    was: float
    half: float
    count: int


def calibration(law: Law, briefs: int, strips: int, seed: int, sittings: int = 6) -> list[Bin]:
    """What the model says of each trial being best, after every sitting, against how often it was; by tenths.

    Intervals are by brief: what is said of one brief after six sittings is no six answers.
    """
    said, true, whose = [], [], []
    for i in range(briefs):
        season = Season(law, seed * 100_000 + i)
        for _ in range(sittings):
            for pair in by_worth(season, strips // 2):
                season.smell(*pair)
            said.append(season.product().best_chance)
            true.append(np.arange(law.trials) == season.panel.argmax())
            whose.append(np.full(law.trials, i))
    chance, best, brief = (np.concatenate(one) for one in (said, true, whose))
    tenth = np.minimum((chance * 10).astype(int), 9)
    return [_bin(chance[tenth == k], best[tenth == k], brief[tenth == k]) for k in range(10) if (tenth == k).any()]


def _bin(chance: np.ndarray, best: np.ndarray, brief: np.ndarray) -> Bin:
    sums = np.bincount(brief, best - chance)
    return Bin(
        float(chance.mean()), float(best.mean()), 1.96 * float(np.sqrt((sums**2).sum())) / len(chance), len(chance)
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, value in {
        "trials": 8,
        "noses": 5,
        "briefs": 400,
        "strips": 12,
        "sittings": 6,
        "target": 0.1,
        "seed": 1,
    }.items():
        parser.add_argument(f"--{name}", type=type(value), default=value)
    for name, value in {"step": STEP, "person": PERSON, "tie": 0.0, "habit": 0.0}.items():
        parser.add_argument(f"--{name}", type=float, default=value)
    parser.add_argument("--order", action="append", choices=[name for name in ORDERS if name != "by worth"])
    parser.add_argument("--calibration", action="store_true")
    o = parser.parse_args()
    law = Law(o.trials, o.noses, o.step, o.person, o.habit, o.tie)
    print(f"{law}, {o.briefs} briefs, {o.strips} strips a nose and sitting", flush=True)
    if o.calibration:
        for one in calibration(law, o.briefs, o.strips, o.seed, o.sittings):
            gap = f"{one.was - one.said:+.3f} ± {one.half:.3f}"
            print(f"  said {one.said:.3f}  was {one.was:.3f}  apart {gap}  ({one.count})")
        return
    for found in compared(law, o.briefs, o.strips, o.target, o.seed, ["by worth", *(o.order or list(ORDERS)[1:])]):
        print(_line(found, o.target))


def _line(found: Compared, target: float) -> str:
    strips, low, high = found.strips
    ratio, few, many = found.ratio
    there, lost, best = found.at_stop
    return (
        f"{found.name:22}{' ' if found.reached else '>'}{strips:6.0f} strips [{low:.0f}, {high:.0f}] where "
        f"{target:.2f} is lost; by worth takes {ratio:.2f} of it [{few:.2f}, {many:.2f}]; at foreseen .10: "
        f"{there:.0f} strips, lost {lost:.3f}, best {best:.2f}"
    )


if __name__ == "__main__":
    main()
