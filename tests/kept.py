"""What the files kept from the state of 2026-11-26 say, read by the program as it is now.

``tests/report/released/`` holds an export of every kind of session with the numbers it gave that day,
``tests/store/released/2026-11-26/`` whole notebooks as SQL text (packed) with what the program's actions said of them.
They were made by ``tests/made_2026_11_26`` with the program of that day and are never made again: the files are what
counts. What the program finds today is held against them like this:

* **A key that was added is passed over**, at any depth: later versions find more. A key that is missing, a list that
  became longer or shorter, or a value that changed is told.
* **Words and numbers are apart.** ``words.json`` holds verdict words, reasons and sentences, so that a change of words
  by a decision touches that file alone: ``python -m tests.kept`` writes it anew, and the difference is read in review.
  Of the files with numbers nothing is ever written anew.
* **Numbers are compared byte by byte** where the arithmetic is that of the making (the same libraries and processor
  features). Elsewhere last digits of floats may differ, and these are compared to six digits.
"""

from __future__ import annotations

import gzip
import json
import math
import platform
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import asdict, dataclass, is_dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from evaluation import wording
from evaluation.actions import ages, aims, anosmia, bench, book, decide, looks, solo
from evaluation.actions import plan as planning
from evaluation.actions import skin as gate
from evaluation.actions.findings import findings
from evaluation.ground.canonical import canonical, digest
from evaluation.report import numbers
from evaluation.sessions import Session
from evaluation.store import Notebook
from evaluation.wording import of_looks, of_profiles, of_rounds
from tests.methods import FORCED_CHOICE, METHODS

HERE = Path(__file__).parent
EXPORTS = HERE / "report" / "released"
DUMPS = HERE / "store" / "released" / "2026-11-26"
WORDS = EXPORTS / "words.json"
# Keys under which the numbers hold words of ours. Words of a plan, a person or a panelist are not among them.
WORD_KEYS = frozenset(
    {"verdict", "people_verdict", "reason", "notes", "note", "says", "explanation", "finding", "speaks_for", "outcome"}
)
NEAR = 1e-6  # relative, where libraries or processor differ: fits that are searched for end 4e-9 apart there


def exports() -> list[Path]:
    return sorted(EXPORTS.glob("*.zip"))


def dumps() -> list[Path]:
    return sorted(DUMPS.glob("*.sql.gz"))


def read(file: Path) -> Any:
    return json.loads(file.read_text(encoding="utf-8"))


def unpack(dump: Path, file: Path) -> Path:
    """A dump as the SQLite file it was taken from."""
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript(gzip.decompress(dump.read_bytes()).decode())
    return file


def arithmetic() -> dict[str, Any]:
    """What last digits of floats hang on."""
    import numpy as np
    import scipy

    simd = np.show_config(mode="dicts")["SIMD Extensions"]
    features = [*simd.get("baseline", []), *simd.get("found", [])]
    machine = [platform.machine(), *platform.libc_ver(), platform.python_version()]
    return {"numpy": np.__version__, "scipy": scipy.__version__, "machine": machine, "features": sorted(features)}


# --- comparing ----------------------------------------------------------------------------------------------------------


def as_kept(now: Any, kept: Any) -> Any:
    """``now`` without the keys that were added since ``kept`` was written, and with the words of ``kept``."""
    if isinstance(kept, dict) and isinstance(now, dict):
        now = _decided(now, kept)
        return {name: _as_kept(name, now[name], kept[name]) for name in kept if name in now}
    if isinstance(kept, list) and isinstance(now, list) and len(kept) == len(now):
        return [as_kept(*pair) for pair in zip(now, kept, strict=True)]
    return now


def _decided(now: dict[str, Any], kept: dict[str, Any]) -> dict[str, Any]:
    """``now`` with what decisions of 2026-11-26 changed by name put back; each only where it is what was decided.

    An exploratory age carries no word, so that nothing is told that would settle it. Profiles are told with a mixed
    model in which people may differ in the ages too; that the other one gives what it gave is a test of its own.
    """
    put_back = {}
    if now.get("confirmatory") is False and now.get("verdict") == "" and now.get("settle", 0) is None:
        put_back["settle"] = kept.get("settle")
    if isinstance(now.get("model"), dict) and now["model"].get("random") == "full":
        put_back["model"] = kept.get("model")
    return now | put_back


def _as_kept(name: str, now: Any, kept: Any) -> Any:
    return kept if name in WORD_KEYS and _is_words(now) and _is_words(kept) else as_kept(now, kept)


def _is_words(value: Any) -> bool:
    return isinstance(value, str) or (isinstance(value, list) and all(isinstance(one, str) for one in value))


def differences(now: Any, kept: Any, path: str = "") -> list[str]:
    """What of ``kept`` is missing or other in ``now``, which is without what was added since; floats to ``NEAR``."""
    if isinstance(kept, dict) and isinstance(now, dict):
        gone = [f"{path}.{name} is missing" for name in kept if name not in now]
        return gone + [
            line for name in kept if name in now for line in differences(now[name], kept[name], f"{path}.{name}")
        ]
    if isinstance(kept, list) and isinstance(now, list):
        if len(kept) != len(now):
            return [f"{path} has {len(now)} entries, not {len(kept)}"]
        return [
            line for at, pair in enumerate(zip(now, kept, strict=True)) for line in differences(*pair, f"{path}[{at}]")
        ]
    if isinstance(kept, float) and isinstance(now, float) and math.isclose(now, kept, rel_tol=NEAR, abs_tol=1e-9):
        return []
    return [] if type(now) is type(kept) and now == kept else [f"{path} is {now!r}, not {kept!r}"]


def spelt(value: Any) -> str:
    """As the numbers of a report are spelt (evaluation/report/numbers.py)."""
    return json.dumps(value, ensure_ascii=True, sort_keys=True, indent=1, allow_nan=False) + "\n"


# --- words --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Found:
    """What an opened session found, asked for once: its numbers as a report prints them, and its sentences."""

    session: Session
    numbers: str
    sentences: tuple[str, ...]
    about: Any  # who noted, remarked, saw the key and stopped

    @property
    def told(self) -> Any:
        return json.loads(self.numbers)

    def words(self, before: Any) -> dict[str, Any]:
        """Every word of ours among the numbers that ``before`` has too, and the sentences of the verdict."""
        return {"among numbers": dict(_words(only_kept(self.told, before), "")), "sentences": list(self.sentences)}


def found(notebook: Notebook, session_id: str) -> Found:
    """By the action and the numbers of its method."""
    session, own = planning.session(notebook, session_id), findings(notebook, session_id)
    if session.plan.method == "profile":
        told = tuple(line for part in own.found for line in of_profiles.summary_lines(part))
        return Found(session, numbers.of_profile(own), told, own.context)
    if session.plan.method not in METHODS:
        told = tuple(line for part in own.found for line in of_rounds.summary_lines(part))
        return Found(session, numbers.of_round(own), told, own.context)
    about = replace(own.context, **_with_the_first(own)) if len(own.found) > 1 else own.context
    return Found(session, numbers.of_two(own), tuple(line for part in own.found for line in _of_entries(part)), about)


def _with_the_first(own: Any) -> dict[str, Any]:
    """What stood with the strips when the files were made, where a session about two trials was on skin, too."""
    first = own.found[0].medium
    return {"noted": own.context.noted_on(first), "remarks": own.context.remarks_on(first), "stopped": ()}


def _of_entries(found: Any) -> Iterator[str]:
    if found.sequence is not None:
        yield of_looks.sentence(found.sequence)
    for entry in found.entries:
        yield f"{wording.headline(entry, found.names)}: {wording.sentence(entry, found.names)}"


def only_kept(now: Any, before: Any) -> Any:
    """``now`` without the keys that were added since, its words as they are now."""
    if isinstance(before, dict) and isinstance(now, dict):
        return {name: only_kept(now[name], before[name]) for name in before if name in now}
    if isinstance(before, list) and isinstance(now, list) and len(before) == len(now):
        return [only_kept(*pair) for pair in zip(now, before, strict=True)]
    return now


def _words(value: Any, path: str) -> Iterator[tuple[str, Any]]:
    if isinstance(value, list):
        for at, one in enumerate(value):
            yield from _words(one, f"{path}[{at}]")
    if not isinstance(value, dict):
        return
    for name, one in value.items():
        if name in WORD_KEYS and _is_words(one):
            if one not in ("", []):
                yield f"{path}.{name}", one
        else:
            yield from _words(one, f"{path}.{name}")


# --- what the actions say of a notebook -----------------------------------------------------------------------------------


def facts(notebook: Notebook) -> tuple[dict[str, Any], dict[str, Found]]:
    """Of every session, by title, and of all briefs; and what was found in those opened, by title.

    Sentences and proposals are left out: they are words.
    """
    listed = planning.sessions(notebook)
    seen = {one.plan.title: found(notebook, one.id) for one in listed if one.state == "opened"}
    told = {one.plan.title: _plain(_of_session(notebook, one, seen.get(one.plan.title))) for one in listed}
    briefs = {one.title: _plain(_of_brief(notebook, one.id)) for one in book.briefs(notebook)}
    return {"sessions": told, "briefs": briefs}, seen


def _of_session(notebook: Notebook, session: Session, seen: Found | None) -> dict[str, Any]:
    told: dict[str, Any] = {"id": session.id, "state": session.state, "method": session.plan.method}
    if session.state == "draft":
        return told | {"plan": json.loads(canonical(session.plan))["value"]}
    records = bench.log(notebook, session.id)
    told |= {"sealed_hash": session.sealed_hash, "records": len(records), "last_hash": records[-1].hash}
    told["seats"] = [
        [one.seat, one.answered, one.total, one.sets_done, one.sets, one.finished]
        for one in bench.progress(notebook, session.id)
    ]
    if seen is not None:
        shown = ("noted", "remarks", "key_seen_by", "stopped", "log_holds")
        return told | {"real_ages": ages.real_ages(notebook, session.id)} | {n: getattr(seen.about, n) for n in shown}
    if session.plan.look_every and session.state != "void":
        told["look"] = looks.status(notebook, session.id)
    if session.plan.solo:
        step = solo.next_step(notebook, session.id)
        told["alone"] = {"set": step.number, "codes": step.codes, "sets": step.sets, "put_away": step.put_away}
    return told


def _of_brief(notebook: Notebook, brief_id: str) -> dict[str, Any]:
    labels = {one.id: one.label for one in book.trials(notebook, brief_id)}
    record = decide.record(notebook, brief_id)
    with notebook.reading() as tx:
        people = {one.id: one.alias for one in tx.book.panelists(active_only=False)}
        formulas = {
            label: [[line.share_percent, line.stock_percent] for line in tx.skin.lines(trial)]
            for trial, label in labels.items()
        }
    return {
        "trials": list(labels.values()),
        "people": sorted(people.values()),
        "decisions": [[one.number, labels[one.trial_id], one.word, one.reason, one.hash] for one in record.decisions],
        "decisions hold": record.holds,
        "superseded": len(record.superseded),
        "evidence": [_frozen(decide.as_it_stood(one), labels) for one in record.decisions],
        "aims": aims.history(notebook, brief_id),
        "descriptors": [one.name for one in aims.descriptors(notebook, brief_id)],
        "missed": _missed(notebook, brief_id),
        "formulas": formulas,
        "limits": sorted({one.document for one in gate.limits(notebook)}),
        "patches": sorted(_patches(notebook, labels, people)),
        "bars": sorted([labels[trial], bar.kind, bar.reason] for trial, bar in gate.bars(notebook, labels).items()),
    }


def _frozen(seen: Any, labels: dict[str, str]) -> list[list[Any]]:
    return [
        [
            one.title,
            one.last_hash,
            [[p.topic, labels[p.first_id], labels[p.second_id], p.medium, p.minutes, p.weighs] for p in one.points],
        ]
        for one in seen.sessions
    ]


def _patches(notebook: Notebook, labels: dict[str, str], people: dict[str, str]) -> list[list[Any]]:
    return [
        [people[one.panelist_id], labels[one.trial_id], one.applied_at, str(one.strength_percent), _read(one), one.code]
        for one in gate.patches(notebook)
        if one.trial_id in labels
    ]


def _read(patch: Any) -> str:
    """What was seen of a patch last, "" of one nobody read: a patch was read once when the files were made."""
    return patch.readings[-1].result if patch.readings else ""


def _missed(notebook: Notebook, brief_id: str) -> Any:
    """Who seems to miss something: the first two sessions of each method against the others."""
    given = [one for one in anosmia.comparisons(notebook, brief_id) if one.method in FORCED_CHOICE]
    missed = {}
    for method in sorted({one.method for one in given}):
        mine = sorted((one.title, one.session_id) for one in given if one.method == method)
        chosen = [one for title, one in mine if not title.startswith(("alone", "one nose", "noticed"))][:2]
        if len(mine) > 2 and chosen:
            missed[method] = anosmia.gaps(notebook, brief_id, "vetiver", chosen)
    return missed


def _plain(value: Any) -> Any:
    """As JSON gives it back."""
    if is_dataclass(value) and not isinstance(value, type):
        value = asdict(value)
    if isinstance(value, dict):
        return {str(name): _plain(one) for name, one in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [_plain(one) for one in value]
    if isinstance(value, Decimal):
        return str(value)
    return value if value is None or isinstance(value, bool | int | float | str) else float(value)


# --- seals --------------------------------------------------------------------------------------------------------------


def seals_stand(notebook: Notebook, session_id: str) -> bool:
    """Whether the log holds, the sealed words hash as they did, and the plan read now is the one that was sealed.

    A field added to plans since is passed over: that it has its old meaning is for the numbers to show.
    """
    with notebook.reading() as tx:
        session, holds = tx.sittings.session(session_id), tx.log.verify(session_id)
        sealed = next(json.loads(one.body)["value"] for one in tx.log.records(session_id) if one.kind == "seal")
    own = only_kept(json.loads(canonical(session.plan))["value"], sealed["plan"])
    words = digest(canonical({"plan": sealed["plan"], "commitment": sealed["commitment"]}))
    return holds and own == sealed["plan"] and words == sealed["hash"] == session.sealed_hash


def write_words() -> None:
    from evaluation.report import export

    told = {}
    for file in exports():
        with export.opened(file) as copy:
            told[file.stem] = found(copy.notebook, copy.session_id).words(read(file.with_suffix(".numbers.json")))
    WORDS.write_text(spelt(told), encoding="utf-8")


if __name__ == "__main__":  # python -m tests.kept: only where a decision changed words
    write_words()
