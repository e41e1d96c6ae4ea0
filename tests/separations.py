"""Plans whose bottles separate changes, and a brief whose formulas differ in three, for tests."""

from __future__ import annotations

from typing import Any

import numpy as np

from evaluation.actions import aims, bench, formulas, skin
from evaluation.actions.findings import open_session
from evaluation.actions.separating import separation_of
from evaluation.formulas import read_lines
from evaluation.kinds import Separation
from evaluation.planning.layouts import combinations_of
from evaluation.sessions import Plan, Serving, Session
from tests.scenes import RATED, Scene, answer_profile, plan, scene

NAMES = ("cedar", "fig", "salt", "iris", "rose", "musk")


def separation(changes: int, layout: str, **more: Any) -> Separation:
    return Separation(NAMES[:changes], combinations_of(layout, changes), **more)


def separating(own: Separation, people: int = 6, **more: Any) -> Plan:
    """A plan that separates changes."""
    trials = [f"bottle-{at}" for at in range(len(own.made))]
    fields: dict[str, Any] = {"method": "profile", "replicates": own.sittings_a_round, "separation": own}
    fields |= {"first_trial_id": trials[0], "second_trial_id": trials[1], "other_trial_ids": tuple(trials[2:])}
    return plan(people, **(fields | more))


# --- a brief -----------------------------------------------------------------------------------------------------------

LINES = "Bergamot; 5\nVetiver; 6\nCedar; 2\nEthanol; 87"
OTHER = "Bergamot; 5\nVetiver; 9\nCedar; 4\nIris; 1\nEthanol; 81"


def three_changes(notebook: Any, people: int = 8) -> Scene:
    """A base with a formula, a trial with three changes, a solvent that is marked as one, and descriptors."""
    here = scene(notebook, people=people)
    for trial, lines in zip(here.trial_ids, (LINES, OTHER), strict=True):
        formulas.write(notebook, trial, read_lines(lines), new_materials=True)
    ethanol = next(one for one in skin.materials(notebook) if one.name == "Ethanol")
    skin.change_material(notebook, ethanol.id, solvent=True)
    aims.save_descriptors(notebook, here.brief_id, RATED)
    return here


def answered(notebook: Any, sealed: Session, people: int | None = None, seed: int = 3) -> Session:
    """Smelt and opened: cedar makes every bottle two points more woody at 5 minutes, vetiver 1.5 more smoky."""
    bench.start(notebook, sealed.id)
    made, random = separation_of(sealed.plan).made, np.random.default_rng(seed)

    def rate(seat: int, letter: str, serving: Serving, word: str) -> str:
        held = made["ABCDEFGHIJKLMNOP".index(letter)]
        level = 4.0 + 2.0 * (held[1] == "1" and word == "woody" and serving.age_seconds == 300)
        level += 1.5 * (held[0] == "1" and word == "smoky")
        return f"{min(10.0, max(0.0, round(level + random.normal(0, 0.5), 1))):.1f}"

    answer_profile(notebook, sealed.id, rate, people)
    bench.close(notebook, sealed.id)
    return open_session(notebook, sealed.id)
