"""What must be known before a trial touches skin: frozen values and exact arithmetic.

Percentages are mass fractions times 100: the mass of a part over the mass of the whole (ISO 80000-9, mass fraction,
from memory). A material's share on skin is its share of the formula × the strength of the stock it was weighed from ×
the strength of the solution put on skin. No limit of any material stands here: each is entered by whoever runs the
session, with the document and the date it came from.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Final
from zoneinfo import ZoneInfo

from evaluation.errors import ArgumentError
from evaluation.formulas import TOLERANCE, Exact, Formula, Material, as_decimal, exact, opened, percent
from evaluation.ground import checks

LEFT_ON_SKIN: Final = "left on skin"
KINDS_OF_USE: Final = (LEFT_ON_SKIN, "rinsed off", "not for skin")
FORMULA_TOLERANCE: Final = TOLERANCE  # one rule for the trial book and the gate
FACTS_DAYS: Final = 30  # our rule: skin, health and consent change
DOCUMENT_YEARS: Final = 3  # our rule: an older safety document is replaced, or confirmed as current
# A fine fragrance holds at most about 30 % concentrate (common practice, no source): what is stronger is nearly
# undiluted. Refused in the gate, never in a trial's value: trials stored before stay readable.
MOST_ON_SKIN_PERCENT: Final = Decimal(30)
BARRED: Final = "barred"
RETURNED: Final = "allowed again"
HOUR_MS: Final = 3_600_000
DAY_MS: Final = 24 * HOUR_MS

# What is asked of each person (common practice, no source); a yes to one of these keeps them off skin.
EXCLUSIONS: Final = MappingProxyType(
    {
        "allergy": "known allergy to fragrance or cosmetics",
        "asthma": "asthma",
        "migraine": "migraine set off by scents",
        "pregnancy": "pregnant or breast-feeding",
        "broken_skin": "eczema, or broken, freshly shaved or peeled skin on the forearms",
        "under_age": "under 18",
        "light_sensitive": "medicine that makes skin sensitive to light",
    }
)
ALSO_STRIPS: Final = ("asthma", "migraine", "allergy", "pregnancy", "under_age")  # before strips too


@dataclass(frozen=True, slots=True)
class SkinLimit:
    """The most a material may make up on skin, as a document says it; 0 where it is not to be used at all."""

    material_id: str
    percent: Decimal
    document: str
    dated_on: date
    kind_of_use: str
    at: int  # when it was entered; the latest of a kind of use counts
    number: int = field(default=0, compare=False)  # the store's, once it is entered
    confirmed_by: str = ""  # who last looked and found this document still current
    confirmed_at: int | None = None

    def __post_init__(self) -> None:
        percent("limit", self.percent, 0, low_counts=True)
        checks.text("document", self.document, 200)
        checks.choice("kind of use", self.kind_of_use, KINDS_OF_USE)
        if self.dated_on > datetime.fromtimestamp((self.at + DAY_MS) / 1000, UTC).date():
            raise ArgumentError(f"date of the document must not lie in the future, as {self.dated_on} does.")

    def outdated(self, now: int) -> bool:
        """Whether its document is older than we take, counted from its date or the day it was last confirmed."""
        since = self.dated_on if self.confirmed_at is None else max(self.dated_on, day(self.confirmed_at))
        return day(now) > _years_after(since, DOCUMENT_YEARS)


def day(instant: int) -> date:
    """The day of an instant, UTC."""
    return datetime.fromtimestamp(instant / 1000, UTC).date()


def _years_after(since: date, years: int) -> date:
    if (since.month, since.day) == (2, 29):
        since = since.replace(day=28)
    return since.replace(year=since.year + years)


@dataclass(frozen=True, slots=True)
class FormulaLine:
    """One line of a trial's formula, weighed from a stock of some strength (100: the material itself)."""

    material: Material
    share_percent: Exact
    stock_percent: Decimal = Decimal(100)

    def __post_init__(self) -> None:
        finite = isinstance(self.share_percent, Fraction) or self.share_percent.is_finite()
        if not finite or self.share_percent <= 0:
            raise ArgumentError(f"share of {self.material.name} must be above 0 percent, not {self.share_percent}.")
        percent(f"stock of {self.material.name}", self.stock_percent, 0)


def lines_of_formula(formula: Formula) -> tuple[FormulaLine, ...]:
    """A formula as the gate takes it: accords opened to their materials, each line a share of the whole, exactly."""
    return tuple(
        FormulaLine(one.line.material, as_decimal(one.share * 100), one.line.stock_percent) for one in opened(formula)
    )


@dataclass(frozen=True, slots=True)
class SkinFacts:
    """What somebody said about skin work; each answer is a yes or a no."""

    panelist_id: str
    consent: bool
    allergy: bool
    asthma: bool
    migraine: bool
    pregnancy: bool
    broken_skin: bool
    under_age: bool
    light_sensitive: bool
    at: int

    def __post_init__(self) -> None:
        for name in ("consent", *EXCLUSIONS):
            checks.choice(name.replace("_", " "), getattr(self, name), (True, False))

    @property
    def excluding(self) -> tuple[str, ...]:
        """What keeps this person off skin, in words."""
        return tuple(words for name, words in EXCLUSIONS.items() if getattr(self, name))


@dataclass(frozen=True, slots=True)
class Bar:
    """A trial taken off skin, or let back; the latest of a trial counts."""

    trial_id: str
    session_id: str | None
    kind: str
    reason: str
    at: int

    def __post_init__(self) -> None:
        checks.choice("kind", self.kind, (BARRED, RETURNED))
        checks.text("reason", self.reason, 400)


# --- arithmetic -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SkinShare:
    """How much of one material comes on skin, all its lines taken together, and what its limit is."""

    material: Material
    percent: Exact | None  # None: the strength on skin is not known
    limit: SkinLimit | None

    @property
    def within(self) -> bool:
        """True where share and limit are known and the share is not above it; False as well where either is unknown."""
        if self.percent is None or self.limit is None:
            return False
        return Fraction(self.percent) <= Fraction(self.limit.percent)

    @property
    def sentence(self) -> str:
        """The share on skin against its limit and where that stands, exact; unknown is said to be unknown."""
        on_skin = "share on skin not known" if self.percent is None else f"{exact(self.percent)} % on skin"
        if self.limit is None:
            return f"{self.material.name}: {on_skin}; no limit entered."
        where = "at most" if self.percent is None or self.within else "above the limit of"
        return f"{self.material.name}: {on_skin}; {where} {exact(self.limit.percent)} % by {source(self.limit)}."


def share_on_skin(share_percent: Exact, stock_percent: Decimal, strength_percent: Decimal) -> Exact:
    """Percent on skin of what makes up ``share_percent`` of a formula, exactly.

    >>> share_on_skin(Decimal("4"), Decimal("10"), Decimal("15"))  # 0.04 x 0.10 x 0.15 = 0.0006
    Decimal('0.06')
    """
    return as_decimal(Fraction(share_percent) * Fraction(stock_percent) * Fraction(strength_percent) / 10_000)


def shares(
    lines: Sequence[FormulaLine], strength_percent: Decimal | None, limits: Iterable[SkinLimit]
) -> tuple[SkinShare, ...]:
    """Each material's share on skin, in the order of the formula, with the limit for skin entered last."""
    known = counting_limits(limits)
    found: dict[str, SkinShare] = {}
    for line in lines:
        before = found.get(line.material.id)
        added = None
        if strength_percent is not None:
            so_far = before.percent if before and before.percent is not None else Decimal(0)
            added = _sum((so_far, share_on_skin(line.share_percent, line.stock_percent, strength_percent)))
        found[line.material.id] = SkinShare(line.material, added, known.get(line.material.id))
    return tuple(found.values())


def formula_sum(lines: Iterable[FormulaLine]) -> Exact:
    """What the lines add up to, in percent."""
    return _sum(line.share_percent for line in lines)


def formula_whole(percents: Iterable[Exact]) -> bool:
    """Whether these shares make up a whole formula, rounded lines allowed for."""
    return abs(Fraction(_sum(percents)) - 100) <= Fraction(FORMULA_TOLERANCE)


def _sum(numbers: Iterable[Exact]) -> Exact:
    return as_decimal(sum((Fraction(one) for one in numbers), Fraction(0)))


def counting_limits(limits: Iterable[SkinLimit]) -> dict[str, SkinLimit]:
    """The limit entered last counts, for what is left on skin only."""
    on_skin = (one for one in limits if one.kind_of_use == LEFT_ON_SKIN)
    return {one.material_id: one for one in sorted(on_skin, key=lambda one: one.at)}


# --- words ------------------------------------------------------------------------------------------------------


def moment(instant: int, zone: str) -> str:
    """An instant as a local day and time."""
    local = datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone))
    return f"{local.day} {local:%b %Y, %H:%M}"


def source(limit: SkinLimit) -> str:
    """The document of a limit and its date: whether the document is right is not known here."""
    return f"“{limit.document}” of {limit.dated_on.day} {limit.dated_on:%b %Y}"
