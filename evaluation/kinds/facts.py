"""What a kind of session is: which trials and strips it takes, how it is laid out, what its answers can say.

A plan names its kind by its method, ``Plan.method``, and asks the record what holds of it (``plan.kind.rates``), so
that no other place tells kinds apart by their names. What needs more than facts stands in tables beside the functions
they name (``ByKind``). Imports nothing heavy: every tap of every phone reads these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, Literal, TypeAlias

from evaluation.errors import ArgumentError
from evaluation.ground import checks

if TYPE_CHECKING:  # at run time this would load what computes with the methods
    from evaluation.statistics.forced_choice.methods import MethodName as ForcedChoice

OtherMethod = Literal["preference", "profile", "round", "ranking"]
Method: TypeAlias = "ForcedChoice | OtherMethod"
Codes: TypeAlias = Sequence[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Forced:
    """How a forced choice is answered: what may be chosen, and what the order behind the codes makes right.

    ``offers``: codes in tray order → the options of the ballot, of which ``pick`` make an answer. ``right``: order,
    codes and expected direction → the answer that is right, written as the ballot writes it.
    """

    offers: Callable[[Codes], tuple[str, ...]]
    right: Callable[[str, Codes, str], str]
    pick: int = 1
    directed: bool = False  # it names a descriptor and the trial expected to show more of it
    reference: bool = False  # the first strip of a tray is no choice: the others are held against it
    distance: bool = True  # a published function relates its answers to d-prime
    alone: bool = False  # one person can prepare and smell it
    mixed: bool = False  # a set holds either trial oftener (A A B or A B B): alone both kinds are prepared together
    sorts: bool = False  # the codes are sorted into groups: an answer is which of them lie with the first


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of session.

    ``family``: kinds that are drawn, found and told by the same functions share one. ``trays``: by the expected
    direction ("" where none is named), every order of A and B a set may be laid out in, each equally likely; none where
    orders come from all trials of the plan.
    """

    method: Method
    family: str
    design: type[Any]  # the class of what a plan of this kind has of its own (see ``design``)
    trials: tuple[int, int] = (2, 2)  # fewest and most
    strips: int | None = 2  # in one set; None: one of each trial
    trays: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    forced: Forced | None = None
    votes: bool = False  # which of two trials is preferred, one vote a person, and one choice over all ages at the end
    rates: bool = False  # strips are rated one by one, at several ages if wanted, again under their codes if wanted
    pairs: bool = False  # the trials are met two by two, pair after pair
    ranks: bool = False  # the codes of a tray are put in order
    likes: bool = False  # which is liked better; may ask which is nearer the brief too, so the ballot shows the brief
    one_age: bool = False
    once: bool = False  # each person answers once an age: a repeat is another session

    @property
    def judged(self) -> bool:
        """True where an answer is right or wrong, and guessing is right by a known chance."""
        return self.forced is not None

    @property
    def directed(self) -> bool:
        """True where a descriptor and an expected direction are named."""
        return self.forced is not None and self.forced.directed

    @property
    def distance(self) -> bool:
        """True where a published function relates the answers to d-prime."""
        return self.forced is not None and self.forced.distance

    @property
    def alone(self) -> bool:
        """True where one person can prepare and smell it."""
        return self.forced is not None and self.forced.alone

    @property
    def mixed(self) -> bool:
        """True where a set holds one of the trials oftener than the other, and it may be either."""
        return self.forced is not None and self.forced.mixed

    @property
    def pick(self) -> int:
        """How many options make an answer."""
        return 1 if self.forced is None else self.forced.pick

    @property
    def sorts(self) -> bool:
        """True where codes are sorted into groups: an answer is which of them lie with the first."""
        return self.forced is not None and self.forced.sorts

    @property
    def reference(self) -> bool:
        """True where the first strip of a tray is one to hold the others against."""
        return self.forced is not None and self.forced.reference

    @property
    def several(self) -> bool:
        """True where more than two trials may be compared; what is found of them is one family of tests."""
        return self.trials[1] > 2

    def orders(self, expected: str = "") -> tuple[str, ...]:
        """The trays of a set, for the expected direction where one is named."""
        if self.directed and len(self.trays) > 1:
            return self.trays[checks.choice("expected", expected, tuple(self.trays))]
        return self.trays.get("", ())


_KINDS: Final[dict[str, Kind]] = {}


def register(kind: Kind) -> Kind:
    """Make a kind known to the house."""
    if kind.method in _KINDS:
        raise ArgumentError(f"method must be a new one, and {kind.method} is a kind of session already.")
    _KINDS[kind.method] = kind
    return kind


@contextmanager
def registered(kind: Kind) -> Iterator[Kind]:
    """A kind that is known as long as the block lasts."""
    register(kind)
    try:
        yield kind
    finally:
        del _KINDS[kind.method]


def kinds() -> tuple[Kind, ...]:
    """Every kind of session, in the order a list shows them."""
    return tuple(_KINDS.values())


def methods(holds: Callable[[Kind], bool] = lambda kind: True) -> tuple[Method, ...]:
    """The methods of the kinds of which something holds, in the order a list shows them."""
    return tuple(kind.method for kind in kinds() if holds(kind))


def kind_of(method: str) -> Kind:
    """The record of a method; ArgumentError names those there are."""
    found = _KINDS.get(method) if isinstance(method, str) else None
    return found or _KINDS[checks.choice("method", method, tuple(_KINDS))]


def strips_of(method: str) -> int:
    """Strips in one set of a method that has a number of its own; 0 where it hangs on the trials of the plan."""
    return kind_of(method).strips or 0


def method_of(text: str) -> Method:
    """A method read from a file, a form or the notebook."""
    return kind_of(text).method
