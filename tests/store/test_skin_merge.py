"""What the schema of 2026-11-26 held about skin, brought to the next: one name a material, readings, reactions.

The rows are written as the program of that day wrote them (schema 0003); whole notebooks of that day are in
tests/store/released/2026-11-26.
"""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, text

from evaluation.actions import skin_gate, skin_reactions
from evaluation.clock import SteppedClock
from evaluation.skin import CLEAR, LEFT_ON_SKIN, REACTION, SkinLimit, counting_limits, shares
from evaluation.store import Notebook, schema
from evaluation.store.engine import connect, locate, transaction
from tests import kept

HOUR = 3_600_000
NOW = 1_767_168_000_000
NBSP = "\u00a0"


def older(where: str, fill: Any) -> Notebook:
    """A notebook of schema 0003 with what ``fill`` writes into it, then opened by the program of now."""
    engine = connect(locate(where))
    config = Config()
    config.set_main_option("script_location", str(schema.OURS.folder))
    with transaction(engine, "migrating") as connection:
        config.attributes.update(connection=connection, version_table=schema.VERSION_TABLE)
        command.upgrade(config, "0003_dry_down")
        fill(connection)
    engine.dispose()
    return Notebook.open(where, SteppedClock(NOW + 200 * HOUR, step=1))


def put(connection: Connection, table: str, **values: Any) -> None:
    names = ", ".join(f'"{name}"' for name in values)  # "natural" is a word of SQL
    connection.execute(text(f"INSERT INTO {table} ({names}) VALUES ({', '.join(':' + n for n in values)})"), values)


def material(connection: Connection, name: str, number: int, **changes: Any) -> None:
    plain = {"volatility": "", "natural": False, "phototoxic": False, "note": "", "made_at": number}
    put(connection, "materials", **({"id": f"m{number}", "name": name} | plain | changes))


def limit(connection: Connection, number: int, percent: str, at: int, kind: str = LEFT_ON_SKIN) -> None:
    about = {"material_id": f"m{number}", "percent": percent, "document": f"sheet {percent}", "kind_of_use": kind}
    put(connection, "skin_limits", **about, dated_on=date(2025, 1, 1), at=NOW + at)


def line(connection: Connection, trial: str, position: int, number: int, share: str, stock: str = "100") -> None:
    about = {"trial_id": trial, "position": position, "material_id": f"m{number}"}
    put(connection, "formula_lines", **about, share_percent=share, stock_percent=stock)


def book(connection: Connection) -> None:
    put(connection, "briefs", id="brief", title="A dry garden", text="", made_at=1)
    for name in ("7", "8"):
        fixed = {"id": f"trial-{name}", "brief_id": "brief", "label": name, "changed": "", "batch": "", "made_at": 1}
        put(connection, "trials", **fixed, skin_strength_percent="10")
    for number in (1, 2):
        put(connection, "panelists", id=f"person-{number}", alias=f"Nose {number}", note="", active=True, made_at=1)


def doubled(connection: Connection) -> None:
    """Three spellings of one material, whose lowest limit that counts is not the latest; and another material."""
    book(connection)
    material(connection, "Vetiver oil", 1, note="from Haiti")
    material(connection, f"vetiver{NBSP}OIL", 2, phototoxic=True, volatility="base")
    material(connection, " Vetiver  oil", 3, natural=True)
    material(connection, "Musk", 4)
    for number, percent, at in (
        (1, "2", 10),
        (1, "20", 20),
        (2, "30", 30),
        (2, "12.0", 40),
        (3, "15", 50),
        (4, "1", 60),
    ):
        limit(connection, number, percent, at)
    limit(connection, 4, "5", 70)
    limit(connection, 2, "0.5", 80, "rinsed off")
    limit(connection, 3, "0.7", 90, "rinsed off")
    line(connection, "trial-7", 1, 1, "40", "10")
    line(connection, "trial-7", 2, 2, "60")
    line(connection, "trial-8", 1, 3, "50")
    line(connection, "trial-8", 2, 4, "50")


def test_names_equal_but_for_case_and_blanks_become_one_material(lasting: str) -> None:
    notebook = older(lasting, doubled)
    with notebook.reading() as tx:
        one, other = sorted(tx.skin.materials(), key=lambda each: each.id)
        limits, seven, eight = tx.skin.limits(), tx.skin.lines("trial-7"), tx.skin.lines("trial-8")
        ((logged, at),) = [(said, at) for kind, _, said, at in tx.reactions.lines() if kind == "materials merged"]
    assert (one.id, one.name, one.note, other.name) == ("m1", "Vetiver oil", "from Haiti", "Musk")
    assert (one.natural, one.phototoxic, one.volatility) == (True, True, "base")  # whatever warned of one of them
    # counted before: 20, 12 and 15; 12 is the lowest and not the latest, so it is entered once more, last
    assert [(x.percent, x.document) for x in limits if x.material_id == "m1" and x.kind_of_use == LEFT_ON_SKIN] == [
        (Decimal(percent), f"sheet {percent}") for percent in ("2", "20", "30", "12.0", "15", "12.0")
    ]
    assert {key: each.percent for key, each in counting_limits(limits).items()} == {"m1": 12, "m4": 5}
    rinsed = [x for x in limits if x.kind_of_use == "rinsed off"]
    assert min(rinsed, key=lambda each: -each.at).percent == Decimal("0.5")
    assert [(x.material.id, x.share_percent, x.stock_percent) for x in seven] == [("m1", 40, 10), ("m1", 60, 100)]
    assert [x.material.id for x in eight] == ["m1", "m4"]
    # 40 % of a 10 % stock and 60 %, in a 10 % solution: 0.4 % and 6 %, together
    assert [(x.percent, x.within) for x in shares(seven, Decimal(10), limits)] == [(Decimal("6.4"), True)]
    assert 0 <= at - (NOW + 200 * HOUR) < 100  # by the clock the notebook was opened with
    assert logged["kept"] == {"id": "m1", "name": "Vetiver oil"}
    assert [each["name"] for each in logged["merged"]] == [f"vetiver{NBSP}OIL", " Vetiver  oil"]
    assert logged["trials"] == ["trial-7", "trial-8"]
    assert [each["percent"] for each in logged["limits"]] == ["12.0", "0.5"]
    notebook.close()


def test_the_lowest_limit_counts_until_a_later_document_is_entered(lasting: str) -> None:
    notebook = older(lasting, doubled)
    with notebook.writing() as tx:
        newer = SkinLimit("m1", Decimal(18), "sheet 18", date(2025, 6, 1), LEFT_ON_SKIN, tx.clock.now())
        assert counting_limits(tx.skin.limits())["m1"].percent == 12
        tx.skin.add_limit(newer)
    with notebook.reading() as tx:
        assert counting_limits(tx.skin.limits())["m1"] == newer
    notebook.close()


def patched(connection: Connection) -> None:
    """Patches as they were read once: in the hours that count now, later, a reaction, and not yet."""
    book(connection)
    material(connection, "Vetiver oil", 1)
    material(connection, "VETIVER OIL", 2)
    material(connection, "Musk", 3)
    line(connection, "trial-7", 1, 1, "60")
    line(connection, "trial-7", 2, 3, "40")
    line(connection, "trial-8", 1, 2, "100")
    for name, person, trial, hours, result in (
        ("p1", 1, 7, 50, CLEAR),
        ("p2", 1, 8, 90, CLEAR),
        ("p3", 2, 8, 30, REACTION),
        ("p4", 2, 7, None, ""),
    ):
        read = {"read_at": None if hours is None else NOW + hours * HOUR, "result": result, "note": "seen"}
        about = {"id": name, "panelist_id": f"person-{person}", "trial_id": f"trial-{trial}", "code": f"48{name[1]}"}
        own = {"site": "left upper arm, inner side", "strength_percent": "10", "applied_at": NOW}
        put(connection, "patches", **about, **own, **read)


def test_a_patch_read_once_opens_nothing_and_keeps_what_was_seen(lasting: str) -> None:
    notebook = older(lasting, patched)
    with notebook.reading() as tx:
        found = {one.id: one for one in tx.patches.all()}
        now = NOW + 200 * HOUR
        assert {name: one.standing(now).kind for name, one in found.items()} == {
            "p1": "second",
            "p2": "missed",
            "p3": "reacted",
            "p4": "missed",
        }
        assert found["p1"].is_of(tx.skin.lines("trial-7"))
        assert [(one.result, one.at - NOW, one.note) for one in found["p2"].readings] == [(CLEAR, 90 * HOUR, "seen")]
        (reaction,) = tx.reactions.all()
    # of person 2 to trial 8, whose one line was a name that is merged: trial 7 shares it
    assert (reaction.panelist_id, reaction.material_ids, reaction.at) == ("person-2", {"m1"}, NOW + 30 * HOUR)
    with notebook.reading() as tx:
        people = [tx.book.panelist(f"person-{number}") for number in (1, 2)]
        (found_gate,) = skin_gate.gates_of(tx, ("trial-7",), people, "UTC")
    assert {(one.kind, one.who) for one in found_gate.blocks if one.kind in ("wait", "reaction", "reading")} == {
        ("wait", ""),
        ("reaction", "Nose 2"),
        ("reading", "Nose 1"),
    }
    notebook.close()


@pytest.fixture
def kept_skin(tmp_path: Path) -> Any:
    """The notebook of sessions on skin as it stood on 2026-11-26."""
    now = kept.read(kept.DUMPS / "skin.facts.json")["now"]
    notebook = Notebook.open(kept.unpack(kept.DUMPS / "skin.sql.gz", tmp_path / "n.sqlite"), SteppedClock(now, step=1))
    yield notebook
    notebook.close()


def test_a_session_sealed_before_passes_the_gate_of_now_only(kept_skin: Notebook) -> None:
    with kept_skin.reading() as tx:
        (sealed,) = [one for one in tx.sittings.sessions() if one.state == "sealed"]
        logs = {one.id: tx.log.verify(one.id) for one in tx.sittings.sessions() if one.state != "draft"}
    assert all(logs.values())
    shut = {one.label: {block.kind for block in one.blocks} for one in skin_gate.gates(kept_skin, sealed.plan)}
    # read once each; somebody's skin reacted to trials 7 and 10, which share every line with 9; somebody felt unwell
    assert shut == {"9": {"wait", "reaction", "reading", "stop"}, "10": {"wait", "bar", "reaction", "reading", "stop"}}
    told = skin_reactions.reactions(kept_skin)
    assert [(one.alias, bool(one.reaction.patch_id), bool(one.reaction.session_id)) for one in told] == [
        ("Jonas", True, False),
        ("Dimitri", False, True),
    ]


def test_materials_of_that_day_are_one_each_with_the_lowest_limit_and_their_logs_name_them_as_then(
    kept_skin: Notebook,
) -> None:
    with kept_skin.reading() as tx:
        names = {one.id: one.name for one in tx.skin.materials()}
        counts = {names[key]: each.percent for key, each in counting_limits(tx.skin.limits()).items()}
        seen = [
            share["material"]
            for one in tx.sittings.sessions()
            for words in tx.log.texts(one.id).values()
            if words.startswith('{"value":[{"shares"')
            for trial in json.loads(words)["value"]
            for share in trial["shares"]
        ]
    assert sorted(names.values()) == ["Amber base", "Bergamot, pressed", "Iris root", "Vetiver oil"]
    assert counts == {"Vetiver oil": 12, "Amber base": 55, "Bergamot, pressed": 2}
    assert {"AMBER BASE", "vetiver  oil"} < set(seen)
