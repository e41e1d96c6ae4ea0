"""People who answer by an invented truth and a fixed seed. Run once with the state of 2026-11-26; see house.py."""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import Any

from evaluation.serving.blinding import as_real, correct_value, is_null
from evaluation.sessions import Question, Session
from tests.methods import METHODS

LEVEL = {"woody": "4678", "smoky": "2754", "green": "6332", "strength": "6758", "liking": "5764"}


class Panel:
    """``share`` of the sets of forced-choice methods is noticed (below 0: so many are answered wrong); ``worth`` says how much each trial is liked."""

    def __init__(
        self, house: Any, session: Session, share: float = 0.6, worth: Mapping[str, float] | None = None
    ) -> None:
        self.plan, self.share = session.plan, share
        self.worth = worth or {"A": 0.2, "B": 0.8, "C": 0.5, "D": 0.0}
        with house.notebook.writing() as tx:
            self.orders = dict(tx.key.key_for_preparer(session.id, None).orders)
            served = tx.sittings.servings(session.id)
        self.served = {one.id: one for one in served}
        self.letter = {
            (one.seat, code): letter.upper()
            for one in served
            for code, letter in zip(one.codes, self.orders[one.id], strict=False)
        }
        self.chance = {seat.number: random.Random(f"{self.plan.title} {seat.number}") for seat in self.plan.seats}

    def __call__(self, seat: int, asked: Question) -> str:
        kind, _, subject = asked.name.partition(" ")
        chance = self.chance[seat]
        if kind == "rate":
            return self.rating(seat, asked, subject)
        if kind == "ranking":
            return ">".join(sorted(asked.codes, key=lambda code: -self.liked(seat, code)))
        if kind in ("choice", "nearer", "overall"):
            return self.chosen(seat, asked)
        if kind in ("overheard", "recognised"):
            return "yes" if chance.random() < 0.06 else "no"
        return chance.choice(asked.options)

    def chosen(self, seat: int, asked: Question) -> str:
        chance = self.chance[seat]
        if self.plan.method in METHODS and self.plan.method != "preference":
            order = self.orders[asked.serving_id]
            if not is_null(order) and chance.random() < self.share:
                return correct_value(self.plan.method, as_real(order), asked.codes, self.plan.expected)
            if chance.random() < -self.share:
                return self.wrong(asked, order)
            picked = chance.sample(asked.options, asked.pick)
            return "+".join(one for one in asked.options if one in picked)
        offers = [one for one in asked.options if one != "none"]
        liked = {one: self.liked(seat, one.split(" ")[0]) for one in offers}
        best = max(offers, key=lambda one: liked[one])
        return "none" if "none" in asked.options and max(liked.values()) - min(liked.values()) < 0.12 else best

    def wrong(self, asked: Question, order: str) -> str:
        right = correct_value(self.plan.method, as_real(order), asked.codes, self.plan.expected)
        return next(one for one in asked.options if one != right)

    def liked(self, seat: int, code: str) -> float:
        return self.worth[self.letter[seat, code]] + self.chance[seat].gauss(0, 0.35)

    def rating(self, seat: int, asked: Question, word: str) -> str:
        chance, serving = self.chance[seat], self.served[asked.serving_id]
        letter = self.letter[seat, serving.codes[0]]
        level = int(LEVEL.get(word, "5463")["ABCD".index(letter)]) * 0.85 ** (serving.age_seconds / 3600)
        level = min(9.9, max(0.0, level + chance.gauss(0, 0.9) + 0.3 * (seat % 3 - 1)))
        if asked.kind != "check" and chance.random() < 0.04:
            return chance.choice(("not smelt", "skip"))
        if asked.kind == "category":
            return str(int(level))
        if asked.kind == "check":
            return "yes" if level > 4 else "no"
        return (
            ("too weak", "right", "too strong")[0 if level < 3 else 2 if level > 6 else 1]
            if asked.kind == "level"
            else f"{level:.1f}"
        )
