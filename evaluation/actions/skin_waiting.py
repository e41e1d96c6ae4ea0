"""What waits for what on skin: readings, decisions, questions and documents, each in one sentence with its time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from evaluation.actions import skin_reactions
from evaluation.actions.skin_gate import gate_at, records_of
from evaluation.skin import (
    DAY_MS,
    FACTS_DAYS,
    FIRST,
    READ,
    SECOND,
    WAITING,
    Patch,
    Records,
    counting_limits,
    moment,
    source,
    unexplained,
)
from evaluation.store import Notebook, Transaction
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial

NOW: Final = 0


@dataclass(frozen=True, slots=True)
class Waits:
    """One thing that waits; ``since`` is when it can be done, ``NOW`` or an instant to come."""

    since: int
    told: str


@dataclass(frozen=True, slots=True)
class _Room:
    """Everything at one instant."""

    tx: Transaction
    trials: Mapping[str, Trial]
    people: tuple[Panelist, ...]
    records: Records
    moment: int
    zone: str

    @property
    def aliases(self) -> dict[str, str]:
        return {one.id: one.alias for one in self.people}

    @property
    def patches(self) -> list[Patch]:
        """Those of active people and these trials."""
        known = self.aliases
        return [one for one in self.records.patches if one.panelist_id in known and one.trial_id in self.trials]

    def day_of(self, instant: int) -> str:
        return moment(instant, self.zone)


def waits(notebook: Notebook, trial_ids: Iterable[str], zone: str) -> tuple[Waits, ...]:
    """All that waits with these trials and everybody on the panel, what can be done now first."""
    undecided = [one for one in skin_reactions.reactions(notebook) if one.for_all]
    with notebook.reading() as tx:
        people = tx.book.panelists()
        trials = {one: tx.book.trial(one) for one in trial_ids}
        room = _Room(tx, trials, people, records_of(tx, tuple(trials), list(people)), tx.clock.now(), zone)
        found = [
            *(Waits(NOW, _undecided(room, one)) for one in undecided),
            *_readings(room),
            *_unexplained(room),
            *_documents(room),
            *_to_ask(room),
            *_reports(room),
            *_first_days(room),
        ]
    return tuple(sorted(found, key=lambda one: one.since))


def next_step(notebook: Notebook, trial_ids: Sequence[str]) -> str:
    """What comes next on the way to skin, where nothing waits to be done now."""
    with notebook.reading() as tx:
        people = tx.book.panelists()
        asked = [one for one in people if one.id in tx.skin.facts([each.id for each in people])]
        written = [one for one in trial_ids if tx.skin.lines(one) and tx.book.trial(one).skin_strength_percent]
        limited = {one.material_id for one in tx.skin.limits()}
        known = [one for one in written if limited.issuperset(line.material.id for line in tx.skin.lines(one))]
        patched = {one.trial_id for one in tx.patches.all()} & set(trial_ids)
        steps = (
            (bool(trial_ids), "write the trials into the trial book"),
            (
                bool(known or (tx.skin.materials() and not written)),
                "enter each material with its limit (tab Materials and limits)",
            ),
            (
                bool(written),
                "write formula (trial book) and strength (tab Trials) of each trial to be worn",
            ),
            (bool(people), "add people on the page Panel"),
            (bool(asked), "ask each person who is to have something on skin (tab People)"),
            (bool(patched), "put patches on (tab Patch tests)"),
        )
    lacking = [told for done, told in steps if not done]
    return f"Next: {lacking[0]}." if lacking else ""


def _undecided(room: _Room, one: skin_reactions.ToDecide) -> str:
    whose = f" of {one.alias}" if one.alias else ""
    what = " or ".join(each.name for each in one.for_all)
    known = f"nothing with {what} goes on anybody" if what else "nothing goes on anybody"
    unknown = ", as the formula that was on is not known," if one.unknown else ""
    return (
        f"Reaction{whose} on {room.day_of(one.reaction.at)}: {known}{unknown} until you decide, with a reason (tab "
        "Reactions)."
    )


def _unexplained(room: _Room) -> Iterator[Waits]:
    for one in room.people:
        stop = unexplained(one.id, room.records.unwell, room.records.explained)
        if stop is not None:
            when = room.day_of(stop.at)
            told = f"{one.alias} stopped on {when} without a reaction: write down what it was (tab Reactions)."
            yield Waits(NOW, told)


def _readings(room: _Room) -> Iterator[Waits]:
    """Patches of one person that are read at one time, in one sentence."""
    together: dict[tuple[str, str, str, str], list[Patch]] = {}
    for one in room.patches:
        stands = one.standing(room.moment)
        if stands.kind in WAITING:
            since = "" if stands.since <= room.moment else room.day_of(stands.since)
            until = room.day_of(stands.until) if stands.until else ""
            together.setdefault((room.aliases[one.panelist_id], stands.kind, since, until), []).append(one)
    for (alias, kind, since, until), patches in together.items():
        begins, ends = f"From {since} read" if since else "Read now", f", until {until}" if until else ""
        told = f"{begins} {_patches(one.code for one in patches)} on {alias} {_TURNS[kind]}{ends} (tab Patch tests)."
        yield Waits(min(one.standing(room.moment).since for one in patches) if since else NOW, told)


_TURNS: Final = {FIRST: "for the first time", SECOND: "for the second time"}


def _patches(codes: Iterable[str]) -> str:
    listed = sorted(codes)
    return f"the patch {listed[0]}" if len(listed) == 1 else f"the patches {' and '.join(listed)}"


def _documents(room: _Room) -> Iterator[Waits]:
    limits = counting_limits(room.records.limits)
    used = {line.material.id: line.material.name for one in room.trials for line in room.tx.skin.lines(one)}
    for material_id, name in sorted(used.items(), key=lambda each: each[1].casefold()):
        limit = limits.get(material_id)
        if limit is not None and limit.outdated(room.moment):
            yield Waits(
                NOW,
                f"The limit of {name} is from {source(limit)}: enter a newer document, or confirm that this one is "
                "still current (tab Materials and limits).",
            )


def _to_ask(room: _Room) -> Iterator[Waits]:
    """Whom to ask anew about skin, and about what has changed since an old clear patch."""
    long_ago = [one.alias for one in room.people if _asked_long_ago(room, one.id)]
    if long_ago:
        told = f"asked about skin more than {FACTS_DAYS} days ago: ask again (tab People)"
        yield Waits(NOW, f"{_listed(long_ago)} {'was' if len(long_ago) == 1 else 'were'} {told}.")
    old = _to_ask_about(room)
    if old:
        told = f"clear but older than {FACTS_DAYS} days, were put on (tab Patch tests)"
        yield Waits(NOW, f"Say what has changed since the patches of {_listed(old)}, {told}.")


def _to_ask_about(room: _Room) -> list[str]:
    """Whose clear patches speak again once somebody says that nothing has changed."""
    shown = [gate_at(room.tx, one, room.people, room.records, room.moment) for one in room.trials.values()]
    whose = {block.panelist_id for one in shown for block in one.blocks if block.kind == "changes"}
    return [one.alias for one in room.people if one.id in whose]


def _asked_long_ago(room: _Room, panelist_id: str) -> bool:
    said = room.records.facts.get(panelist_id)
    return said is not None and room.moment - said.at > FACTS_DAYS * DAY_MS


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _reports(room: _Room) -> Iterator[Waits]:
    """Until day 7 whoever had a patch looks and tells of anything."""
    people: dict[str, list[str]] = {}
    latest: dict[str, int] = {}
    for one in room.patches:
        if one.standing(room.moment).kind == READ and room.moment < one.report_until:
            latest[one.panelist_id] = max(latest.get(one.panelist_id, 0), one.report_until)
    for panelist_id, at in latest.items():
        people.setdefault(room.day_of(at), []).append(room.aliases[panelist_id])
    for when, names in people.items():
        at = min(until for who, until in latest.items() if room.aliases[who] in names)
        tells = "tells" if len(names) == 1 else "tell"
        yield Waits(at, f"Until {when} {_listed(names)} {tells} you of anything that still shows at the patches.")


def _first_days(room: _Room) -> Iterator[Waits]:
    """When trials that are being patched could be worn by everybody who was asked about skin."""
    asked = [one for one in room.people if one.id in room.records.facts]
    patched = {one.trial_id for one in room.patches if one.standing(room.moment).kind in WAITING}
    days: dict[str, list[tuple[int, str]]] = {}
    for trial_id, trial in room.trials.items():
        if trial_id not in patched:
            continue
        found = gate_at(room.tx, trial, asked, room.records, room.moment, room.zone)
        if found.first_possible:
            days.setdefault(room.day_of(found.first_possible), []).append((found.first_possible, trial.label))
    for when, listed in days.items():
        of = f"trial{'s' if len(listed) > 1 else ''} {_listed([label for _, label in listed])}"
        yield Waits(min(listed)[0], first_date(f"of {of} on skin for everybody asked", when))


def first_date(of: str, when: str) -> str:
    """The first possible date, and what it hangs on."""
    whose = f" {of}" if of else ""
    return (
        f"First possible date{whose}: {when}, if the missing patches are put on now, all are clear when read twice, "
        "and everything else is in order by then."
    )
