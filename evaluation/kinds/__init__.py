"""Kinds of session: one record each, and the tables other rooms keep by them (DEVELOPERS.md, "Kinds of session")."""

from types import MappingProxyType
from typing import Final

from evaluation.kinds import forced_choice
from evaluation.kinds.by_kind import ByKind as ByKind
from evaluation.kinds.design import Design as Design
from evaluation.kinds.facts import Forced as Forced
from evaluation.kinds.facts import Kind as Kind
from evaluation.kinds.facts import Method as Method
from evaluation.kinds.facts import kind_of as kind_of
from evaluation.kinds.facts import kinds as kinds
from evaluation.kinds.facts import method_of as method_of
from evaluation.kinds.facts import methods as methods
from evaluation.kinds.facts import register as register
from evaluation.kinds.facts import registered as registered
from evaluation.kinds.facts import strips_of as strips_of
from evaluation.kinds.separation import Separation as Separation
from evaluation.kinds.several import Profile as Profile
from evaluation.kinds.several import Ranking as Ranking
from evaluation.kinds.several import Round as Round
from evaluation.kinds.two_trials import Alone as Alone
from evaluation.kinds.two_trials import Direction as Direction
from evaluation.kinds.two_trials import ForcedChoice as ForcedChoice
from evaluation.kinds.two_trials import Preference as Preference

_OTHERS: Final = (
    Kind(
        method="preference",
        family="preference",
        design=Preference,
        trays=MappingProxyType({"": forced_choice.orders("AB")}),
        votes=True,
        likes=True,
        once=True,
    ),
    Kind(method="profile", family="profile", design=Profile, trials=(2, 6), strips=1, rates=True),
    Kind(method="round", family="round", design=Round, trials=(3, 8), pairs=True, likes=True, one_age=True),
    Kind(method="ranking", family="ranking", design=Ranking, trials=(3, 6), strips=None, ranks=True, one_age=True),
)

for _one in (*forced_choice.METHODS, *_OTHERS):
    register(_one)
