"""Expectation propagation for paired comparisons by people who differ, several spreads at once.

Person n holds trial k worth m_k + u_nk; m is normal with a given covariance, the u are independent normal of one
spread, and one of two trials is chosen with chance Φ(difference). Given m people are independent, so that each one's
trials are summed out by themselves and what stays is as large as there are trials (Minka 2001, "Expectation propagation
for approximate Bayesian inference", UAI; Rasmussen & Williams 2006, section 3.6; both from memory). "No preference" is
half a vote for each side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import log_ndtr, logsumexp

from evaluation.statistics.laws.inputs import Floats, Ints

_GRID = np.linspace(-7.0, 7.0, 41)  # standard deviations around where a difference is believed
_CLOSE = 1e-6
_SWEEPS = 400
_STEP = 0.8  # of the way to each new message; all at once in full they can swing


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Answers by person and pair, one entry each: ``won`` for ``first``, ``lost`` for ``second``; ties are halved."""

    person: Ints
    first: Ints
    second: Ints
    won: Floats
    lost: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """Spreads × trials: what each of several spreads makes of the panel's mean merits.

    Attributes
    ----------
    mean, covariance : of the mean over the people, one layer for each pair of spreads.
    evidence : log-probability of the answers under each.
    """

    mean: Floats
    covariance: Floats
    evidence: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Posterior:
    """Given messages: people's trials (spreads × people × trials), the panel's, and what they add to the evidence."""

    means: Floats
    covariances: Floats
    panel_mean: Floats
    panel_covariance: Floats
    height: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Model:
    prior: Floats  # spreads × trials × trials
    person: Floats  # spreads: variance of the u
    people: int
    cells: Cells

    @property
    def trials(self) -> int:
        return int(self.prior.shape[1])

    def posterior(self, precision: Floats, shift: Floats) -> _Posterior:
        """From one message a cell: exp(shift·d − precision·d²/2)."""
        told, pull = self._gathered(precision, shift)
        variance, eye = self.person[:, None, None, None], np.eye(self.trials)
        inner = np.linalg.inv(eye + variance * told)
        own = variance * inner
        weight = (told @ inner).sum(axis=1)
        pulled = (inner @ pull[..., None])[..., 0].sum(axis=1)
        spread = eye + self.prior @ weight
        common = np.linalg.solve(spread, self.prior)
        merit = (common @ pulled[..., None])[..., 0]
        base = (own @ pull[..., None])[..., 0]
        lead = inner.mean(axis=1)
        height = 0.5 * (pulled * merit).sum(axis=1) - 0.5 * np.linalg.slogdet(spread)[1]
        height += 0.5 * (pull * base).sum(axis=(1, 2)) + 0.5 * np.linalg.slogdet(inner)[1].sum(axis=1)
        return _Posterior(
            base + (inner @ merit[:, None, :, None])[..., 0],
            own + inner @ common[:, None] @ inner,
            base.mean(axis=1) + (lead @ merit[..., None])[..., 0],
            own.sum(axis=1) / self.people**2 + lead @ common @ lead,
            height,
        )

    def _gathered(self, precision: Floats, shift: Floats) -> tuple[Floats, Floats]:
        """Messages added up for each person: spreads × people × trials (× trials)."""
        cells, at = self.cells, np.arange(len(precision))[:, None]
        told = np.zeros((len(precision), self.people, self.trials, self.trials))
        pull = np.zeros(told.shape[:3])
        for one, other, sign in ((cells.first, cells.second, 1.0), (cells.second, cells.first, -1.0)):
            np.add.at(told, (at, cells.person, one, one), precision)
            np.add.at(told, (at, cells.person, one, other), -precision)
            np.add.at(pull, (at, cells.person, one), sign * shift)
        return told, pull

    def differences(self, found: _Posterior) -> tuple[Floats, Floats]:
        """Mean and variance of each cell's difference."""
        n, i, j = self.cells.person, self.cells.first, self.cells.second
        cov = found.covariances
        variance = cov[:, n, i, i] + cov[:, n, j, j] - 2.0 * cov[:, n, i, j]
        return found.means[:, n, i] - found.means[:, n, j], np.maximum(variance, 1e-12)


def believed(prior: Floats, person: Floats, people: int, cells: Cells) -> Belief:
    """Belief about the mean merits of the panel, for each layer of ``prior`` with the same place of ``person``.

    A normal stands in for the true belief, matched in mean and variance; RuntimeError where it does not settle.
    """
    model = _Model(prior, person, people, cells)
    precision = np.zeros((len(prior), len(cells.person)))
    shift, found = np.zeros_like(precision), model.posterior(precision, precision)
    for _ in range(_SWEEPS if len(cells.person) else 0):
        new_precision, new_shift, _ = _messages(model, found, precision, shift)
        moved = max(np.abs(new_precision - precision).max(), np.abs(new_shift - shift).max())
        precision = precision + _STEP * (new_precision - precision)
        shift = shift + _STEP * (new_shift - shift)
        found = model.posterior(precision, shift)
        if moved < _CLOSE:
            break
    else:
        if len(cells.person):
            raise RuntimeError("messages about paired preferences did not settle")
    local = _messages(model, found, precision, shift)[2] if len(cells.person) else np.zeros((len(prior), 0))
    return Belief(found.panel_mean, found.panel_covariance, found.height + local.sum(axis=1))


def _messages(model: _Model, found: _Posterior, precision: Floats, shift: Floats) -> tuple[Floats, Floats, Floats]:
    """The message each cell's answers now send, and what they add to the evidence."""
    mean, variance = model.differences(found)
    others = np.maximum(1.0 / variance - precision, 1e-9)  # what all but this cell say of its difference
    lean = mean / variance - shift
    spread = np.sqrt(variance)
    d = mean[..., None] + spread[..., None] * _GRID
    cells = model.cells
    log_likely = cells.won[:, None] * log_ndtr(d) + cells.lost[:, None] * log_ndtr(-d)
    logs = log_likely - 0.5 * others[..., None] * d**2 + lean[..., None] * d
    top = logs.max(axis=-1, keepdims=True)
    share = np.exp(logs - top)
    total = share.sum(axis=-1)
    share = share / total[..., None]
    centre = (share * d).sum(axis=-1)
    width = (share * (d - centre[..., None]) ** 2).sum(axis=-1)
    whole = top[..., 0] + np.log(total * spread * (_GRID[1] - _GRID[0]))
    # the same integral with the message in place of the answers
    both = others + precision
    stood = 0.5 * np.log(2.0 * np.pi / both) + 0.5 * (lean + shift) ** 2 / both
    return np.maximum(1.0 / width - others, 0.0), centre / width - lean, whole - stood


def mixed(evidence: Floats, odds: Floats) -> Floats:
    """How much each pair of spreads is believed, after prior odds; they sum to 1."""
    logs = np.log(odds) + evidence
    return np.asarray(np.exp(logs - logsumexp(logs)))
