"""Two formulas on one scale: how much of each material both hold, whatever stock and accord it is written under."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from evaluation.formulas.amounts import Opened, opened, total
from evaluation.formulas.lines import Formula
from evaluation.formulas.raw_materials import Material

Key = tuple[str, str]  # accord, material id


@dataclass(frozen=True, slots=True)
class Held:
    """All lines of one material in one accord, taken together."""

    material: Material
    within: tuple[str, ...]
    parts: Fraction
    active: Fraction


@dataclass(frozen=True)
class Side:
    """One of two formulas, its lines taken together."""

    formula: Formula

    @cached_property
    def lines(self) -> tuple[Opened, ...]:
        """All lines, accords opened."""
        return opened(self.formula)

    @cached_property
    def held(self) -> dict[Key, Held]:
        """Lines of one material in one accord as one."""
        found: dict[Key, Held] = {}
        for one in self.lines:
            key = (one.line.accord, one.line.material.id)
            before = found.get(key)
            parts, active = (before.parts, before.active) if before else (Fraction(0), Fraction(0))
            found[key] = Held(one.line.material, one.accords, parts + one.parts, active + one.active)
        return found

    @cached_property
    def active(self) -> dict[str, Fraction]:
        """The weight of each material, in all accords together."""
        found: dict[str, Fraction] = {}
        for one in self.lines:
            found[one.line.material.id] = found.get(one.line.material.id, Fraction(0)) + one.active
        return found

    @cached_property
    def solvents(self) -> frozenset[str]:
        """Materials that are solvents."""
        return frozenset(one.line.material.id for one in self.lines if one.line.material.solvent)

    def accords_of(self, material_id: str) -> frozenset[str]:
        """In which accords a material lies; "" for the formula itself."""
        return frozenset(accord for accord, one in self.held if one == material_id)


@dataclass(frozen=True)
class Pair:
    """Two formulas, and how many parts of the second are one of the first."""

    first: Side
    second: Side
    scale: Fraction

    @property
    def sides(self) -> tuple[Side, Side]:
        """First and second."""
        return self.first, self.second

    def ratio(self, first: Fraction, second: Fraction) -> Fraction:
        """How many times the weight in the first that in the second is."""
        return second / (self.scale * first)

    def unchanged(self, material_id: str) -> bool:
        """Whether there is as much of a material in both, all accords together."""
        one, two = self.first.active.get(material_id), self.second.active.get(material_id)
        return one is not None and two is not None and two == self.scale * one


def scales(first: Side, second: Side) -> tuple[Fraction, ...]:
    """How many parts of the second may be one of the first, the likeliest first.

    What both are said to be of, or parts of one size; then equal wholes; then whatever ratio two materials or more
    share, the nearest to 1 first.
    """
    said = (first.formula.out_of, second.formula.out_of)
    plain = Fraction(1) if None in said else Fraction(said[1] or 1) / Fraction(said[0] or 1)
    of_totals = total(second.formula) / total(first.formula)
    common = [one for one in first.active if one in second.active and one not in first.solvents | second.solvents]
    stayed: dict[Fraction, list[str]] = {}
    for one in common:
        stayed.setdefault(second.active[one] / first.active[one], []).append(one)
    others = [one for one in stayed if len(stayed[one]) > 1]
    others.sort(key=lambda one: (max(one, 1 / one), min(stayed[one])))
    return tuple(dict.fromkeys((plain, of_totals, *others)))
