"""The preparation sheet by vial letter, and the letter key on a sheet of its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import groupby

from evaluation.actions.bench import PreparedSet
from evaluation.serving.dipping import SECONDS_PER_PAIR, together_seconds
from evaluation.sessions import SKIN, STRIP, Plan, Serving
from evaluation.sheets import words
from evaluation.sheets.pieces import Block, Break, Head, Sheet, Table, Text
from evaluation.sheets.stocks import A4, Paper
from evaluation.sheets.timing import Timing
from evaluation.values.second_strips import COMMON, SIDES

LEAD = (
    "Put the code's label on a strip, dip it into the vial with the letter beside it, in the order written, which is "
    "drawn for every set, and tick the set. Which letter holds which trial stands on another sheet: you need not know "
    "it."
)
LAY = (
    "Then lay the strips on the tray from left to right in the order of the last column: it is the order of the ballot."
)
_LEFT, _RIGHT = SIDES
LEAD_OF_PAIRS = (
    "Each code is a pair of strips. Before any dip put its two labels on two strips, near their dry ends: the strip "
    f"“{_LEFT}” is for the vial {COMMON}, the strip “{_RIGHT}” for the vial with the letter beside the code. Codes "
    f"written by hand: write “{_LEFT}” or “{_RIGHT}” under each, in every pair alike. Stand {COMMON} at your left. "
    f"Take “{_LEFT}” in the left hand, “{_RIGHT}” in the right, and dip both at once, each into its vial, to one "
    "line, for two seconds; wipe each once at the rim of its own vial; stand them in a holder as you held them, "
    "wet ends apart. Then the next pair, in the order written, which is drawn for every set. What the letters hold "
    "stands on another sheet: you need not know it."
)
TRAY_OF_PAIRS = (
    f"When the set is dipped, lay the dry ends of each pair over one another, the strip “{_LEFT}” on the left and on "
    "top in every pair, the wet ends a finger’s breadth apart, and hold them with one clip: clips all alike and "
    "without smell, the upper code to be read. Wet ends that have touched are a mixture: make that pair anew. Then lay "
    "the pairs on the tray from left to right in the order of the last column, wet ends free."
)
DIP = "Code → vial, in this order"
TRAY = "On the tray"


def preparation_sheet(
    head: Head,
    plan: Plan,
    prepared: Sequence[PreparedSet],
    served: Iterable[Serving],
    timing: Timing | None = None,
    paper: Paper = A4,
) -> Sheet:
    """Who gets which code from which vial, in the order of dipping; spare sets apart."""
    bench = _Bench(plan, {(one.seat, one.codes, one.age_seconds): one for one in served}, timing)
    fresh = _once(prepared)
    planned = [one for one in fresh if not one.spare and one.alias]
    later = [one for one in fresh if one.spare or not one.alias]
    blocks: list[Block] = [
        Text(head.warning, "warning"),
        Text(f"{head.sheet}: {head.title}", "head"),
        Text(_lead(plan)),
        Text(words.PREPARER_CAUTION, "small"),
        *([Text(words.SECOND_STRIPS_CAUTION, "small")] if plan.strips_a_code > 1 else []),
        *([Text(words.SKIN_PREPARING, "small")] if SKIN in plan.media else []),
        _totals(plan, planned, later),
        *(bench.by_time(planned) if timing is not None else bench.by_round(planned)),
    ]
    if later:
        blocks += [Break(), Text("Spare sets: prepared only when one is needed", "head"), bench.spares(later)]
    return Sheet(head, tuple(blocks), paper)


def _lead(plan: Plan) -> str:
    if plan.strips_a_code > 1:
        return f"{LEAD_OF_PAIRS} {TRAY_OF_PAIRS}"
    return f"{LEAD} {LAY}" if plan.strips_a_set > 1 and STRIP in plan.media else LEAD


def key_sheet(head: Head, letters: Sequence[tuple[str, str]], looked: str, paper: Paper = A4) -> Sheet:
    """Which vial letter holds which trial."""
    columns = ("Vial letter", "Fill with", "Filled (initials)")
    return Sheet(
        head,
        (
            Text(head.warning, "warning"),
            Text(f"{head.sheet}: {head.title}", "head"),
            *(Text(caution) for caution in words.KEY_CAUTIONS),
            Table(columns, tuple((one, trial, "") for one, trial in letters), (1, 4, 2), tick=True, bold=(0,)),
            Text(f"Shown {head.made} to: {looked}.", "small"),
            Text(words.PREPARER_CAUTION, "small"),
        ),
        paper,
    )


def _once(prepared: Sequence[PreparedSet]) -> list[PreparedSet]:
    """Each set once: own strips smelt again at a later age are dipped (or applied) before the first."""
    met: set[tuple[int, tuple[str, ...]]] = set()
    found = []
    for one in sorted(prepared, key=lambda one: (one.age_seconds, one.replicate, one.seat, one.place)):
        if (one.seat, one.codes) not in met:
            met.add((one.seat, one.codes))
            found.append(one)
    return found


def _totals(plan: Plan, planned: Sequence[PreparedSet], later: Sequence[PreparedSet]) -> Table:
    counts = Counter(letter for one in planned for letter in one.letters)
    spares = Counter(letter for one in later for letter in one.letters)
    rows = tuple((letter, str(counts[letter]), str(spares[letter])) for letter in sorted(counts | spares))
    total = ("all", str(counts.total() * plan.strips_a_code), str(spares.total() * plan.strips_a_code))
    common = (COMMON, str(counts.total()), str(spares.total()))
    rows = (*([common] if plan.strips_a_code > 1 else []), *rows)
    return Table(("Vial", "Strips (or sites) to prepare", "Spare ones"), (*rows, total), (1, 2, 2), bold=(0,))


class _Bench:
    """Rows of the preparation sheet."""

    def __init__(
        self, plan: Plan, served: dict[tuple[int, tuple[str, ...], int], Serving], timing: Timing | None
    ) -> None:
        self.plan, self.served, self.timing = plan, served, timing

    def by_round(self, planned: Sequence[PreparedSet]) -> list[Block]:
        """One table a strip age and replicate."""
        blocks: list[Block] = []
        for (age, replicate), sets in groupby(planned, key=lambda one: (one.age_seconds, one.replicate)):
            mine = list(sets)
            blocks.append(Text(self.round_name(mine[0], age, replicate), "head"))
            blocks.append(Text(f"{self.together(age)} {words.counted(len(mine), 'set')}.", "small"))
            rows = tuple((one.alias, str(one.place), *self.pairs(one)) for one in mine)
            blocks.append(self.table(("Person", "Set"), rows, (3, 1), (2,)))
        return blocks

    def by_time(self, planned: Sequence[PreparedSet]) -> list[Block]:
        """One table a preparer, in order of dipping; sets the timetable does not name come last."""
        assert self.timing is not None
        lines = self.timing.lines
        timed = [(lines.get(self.serving_id(one)), one) for one in planned]
        blocks: list[Block] = [Text(self.timing.day)]
        known = sorted(
            ((line, one) for line, one in timed if line is not None),
            key=lambda pair: (pair[0].preparer, pair[0].dip_from, pair[1].seat, pair[1].place),
        )
        for preparer, mine in groupby(known, key=lambda pair: pair[0].preparer):
            rows = tuple(
                (
                    self.timing.clock(line.dip_from),
                    one.alias,
                    str(one.place),
                    words.age(one.age_seconds),
                    *self.pairs(one),
                )
                for line, one in mine
            )
            columns = ("Dip at", "Person", "Set", "Strip age")
            blocks += [
                Text(f"Preparer {preparer + 1}", "head"),
                Text(
                    f"{words.counted(len(rows), 'set')}. {self.together(min(one.age_seconds for one in planned))}",
                    "small",
                ),
                self.table(columns, rows, (2.4, 3, 0.9, 2.6), (0, 4)),
            ]
        rest = [one for line, one in timed if line is None]
        return blocks + ([Text("Not in the timetable", "head"), *self.by_round(rest)] if rest else [])

    def spares(self, later: Sequence[PreparedSet]) -> Table:
        rows = tuple(
            (
                one.alias or f"spare seat {one.seat}",
                "spare" if one.spare else words.age(one.age_seconds),
                *self.pairs(one),
            )
            for one in sorted(later, key=lambda one: (not one.alias, one.seat, one.place))
        )
        return self.table(("Person", "For"), rows, (3, 2), (2,))

    def table(
        self,
        columns: tuple[str, ...],
        rows: tuple[tuple[str, ...], ...],
        widths: tuple[float, ...],
        bold: tuple[int, ...],
    ) -> Table:
        """Each row ends with what to dip and, where a set holds several strips, how they lie on the tray."""
        if self.plan.strips_a_set == 1:
            return Table((*columns, DIP), tuple(row[:-1] for row in rows), (*widths, 8), tick=True, bold=bold)
        return Table((*columns, DIP, TRAY), rows, (*widths, 7, 2.8), tick=True, bold=bold)

    def pairs(self, one: PreparedSet) -> tuple[str, str]:
        """What to dip in its order, and the codes as they lie on the tray ("" on skin)."""
        first = f"{COMMON} + " if self.plan.strips_a_code > 1 else ""
        told = (f"{code} → {first}{letter}{f' ({site})' if site else ''}" for code, letter, site in one.dipped)
        return " · ".join(told), "" if one.sites else " ".join(one.codes)

    def serving_id(self, one: PreparedSet) -> str:
        serving = self.served.get((one.seat, one.codes, one.age_seconds))
        return serving.id if serving is not None else ""

    def medium(self, one: PreparedSet) -> str:
        serving = self.served.get((one.seat, one.codes, one.age_seconds))
        return serving.medium if serving is not None else ""

    def round_name(self, first: PreparedSet, age: int, replicate: int) -> str:
        on = "On skin, " if self.medium(first) == SKIN else "Strip age "
        called = "set" if self.plan.design.separation is None else "sitting"
        several = f", {called} {replicate}" if self.plan.replicates > 1 or self.plan.null_sets else ""
        return f"{on}{words.age(age)}{several}" if replicate else f"First strips, {on.lower()}{words.age(age)}"

    def together(self, age: int) -> str:
        """How close together a set is dipped; of a fan that a pair is dipped at once, and the pairs in turn."""
        if self.plan.strips_a_set == 1:
            return "Each set is one strip."
        if self.plan.strips_a_code > 1:
            return f"{self.plan.strips_a_set} strips a set in {self.plan.codes_a_set} pairs: {pairs_in_turn(age)}"
        return f"{self.plan.strips_a_set} strips a set, dipped together within {words.age(together_seconds(age))}."


def pairs_in_turn(age_seconds: int) -> str:
    """How close together the pairs of a fan are dipped, and what their age counts from."""
    return (
        f"both strips of a pair at once, the pairs one after the other, about {SECONDS_PER_PAIR} s each and within "
        f"{words.age(together_seconds(age_seconds, 2))} from the first to the last. The age of each counts from its "
        "own dip."
    )
