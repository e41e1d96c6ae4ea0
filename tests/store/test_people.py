"""What is kept of people: every column told, erasing reaches all that is tied to them, a name struck from any text."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import Text, select

from evaluation.clock import SteppedClock
from evaluation.errors import NotFound, StateError
from evaluation.ground.canonical import canonical, digest
from evaluation.sessions import Deviation
from evaluation.skin import LEFT_ON_SKIN, RETURNED, Bar, GoAhead, Material, SkinFacts, SkinLimit
from evaluation.skin.day_worn import DayWorn
from evaluation.store import Notebook, chain, rows
from evaluation.store.engine import transaction
from evaluation.store.named_texts import _STRIKES, GONE, NAMES, OTHERS, PLAIN, TIED, NamedIn, pattern
from evaluation.values.bottles import Bottle
from tests.store.prepared import Held, _in_a_series, about_skin, add_draft, held, raw

ALIAS = "Quibbletwig"
CASED = f"{ALIAS.upper()} said"

# Columns that hold no text of people: ids, codes, words of closed sets, numbers as text, hashes. A new column of text
# is either one of these or is searched for names.
HARMLESS = {
    "attempts": {"door"},
    "answers": {"ballot_id", "question", "serving_id", "serving_ref", "session_id", "text_digest", "value"},
    "ballots": {"id", "panelist_id", "session_id", "token_hash"},
    "bottles": {"id", "skin_strength_percent", "stored", "strength_percent", "trial_id"},
    "brief_sheets": {"brief_id", "kind"},
    "briefs": {"id"},
    "decisions": {"brief_id", "hash", "id", "previous", "supersedes", "trial_id", "word"},
    "deviations": {"kind", "serving_id", "serving_ref", "session_id", "text_digest"},
    "dips": {"serving_id", "session_id"},
    "formula_accords": {"parts", "trial_id", "within"},  # within: the name of another accord
    "formula_lines": {"accord", "material_id", "parts", "stock_percent", "trial_id"},
    "formulas": {"out_of", "trial_id"},
    "groupings": {"pattern", "serving_id"},
    "heads": {"hash", "session_id"},
    "key_orders": {"serving_id", "trials"},
    "keys": {
        "first_again_letter", "first_letter", "further_letters", "second_again_letter", "second_letter", "seed",
        "session_id",
    },
    "marks": {"serving_id", "trials"},
    "materials": {"folded", "id", "volatility"},  # folded: the name once more
    "panelists": {"alias", "id"},  # the alias goes with the person
    "patches": {"bottle_id", "code", "formula", "id", "panelist_id", "site", "strength_percent", "trial_id"},
    "personal_texts": {"digest", "panelist_id", "salt", "session_id"},
    "records": {"body", "hash", "kind", "session_id"},  # words stand there by digest; the title of the plan is listed
    "series": {"brief_id", "hash", "id", "kind"},
    "series_log": {"brief_id", "hash", "kind", "previous", "series_id"},
    "servings": {"codes", "dips", "id", "medium", "session_id", "sites"},
    "sessions": {
        "brief_id", "commitment", "first_trial_id", "id", "sealed_hash", "second_trial_id", "series_id", "state"
    },
    "settings": {"name", "value"},
    "skin_bars": {"kind", "session_id", "trial_id"},
    "skin_facts": {"body", "panelist_id"},  # yes or no to each question
    "skin_limits": {"kind_of_use", "material_id", "percent"},
    "skin_log": {"kind", "panelist_id"},
    "stops": {"ballot_id", "kind", "session_id"},
    "timetables": {"session_id"},
    "trials": {"brief_id", "id", "parent_id"},
    "visits": {"ballot_id", "role", "token_hash"},
}  # fmt: skip


def test_every_column_of_text_is_searched_or_holds_no_text_of_people() -> None:
    searched = {table.name: set[str]() for table in rows.metadata.sorted_tables}
    for kinds in (PLAIN, NAMES, OTHERS):
        for table, columns in kinds.items():
            searched[table.name] |= set(columns)
    there = {
        table.name: {column.name for column in table.columns if isinstance(column.type, Text)}
        for table in rows.metadata.sorted_tables
    }
    told = {name: searched[name] | HARMLESS.get(name, set()) for name in there}
    assert told == there
    assert not any(searched[name] & HARMLESS.get(name, set()) for name in there)


def everything(notebook: Notebook) -> list[tuple[str, str, str]]:
    """Each cell of the notebook, as text, with its table and column."""
    with transaction(notebook._engine, "reading") as connection:
        return [
            (table.name, name, str(value))
            for table in rows.metadata.sorted_tables
            for row in connection.execute(select(table))
            for name, value in row._mapping.items()
        ]


def where_it_stands(notebook: Notebook, word: str = ALIAS) -> set[tuple[str, str]]:
    return {(table, column) for table, column, value in everything(notebook) if word.lower() in value.lower()}


@pytest.fixture
def about(notebook: Notebook) -> Held:
    """A session in which one person left something everywhere, and texts of others that name them everywhere."""
    made = held(notebook, minutes=(5, 60))
    made.lock(made.answer(1), made.answer(1, "remark", value=f"I, {ALIAS}, smell hay"))
    made.lock(made.answer(2), made.answer(2, "remark", value=f"{ALIAS} talks"))
    about_skin(made)
    _in_a_series(notebook)
    void, tapped = made.servings(2)[1], made.servings(1)[1]
    with notebook.writing() as tx:
        tx.book.replace_panelist(replace(tx.book.panelist("person-1"), alias=ALIAS, note=f"{ALIAS} is left-handed"))
        tx.book.replace_panelist(replace(tx.book.panelist("person-2"), note=CASED))
        tx.skin.add_facts(SkinFacts("person-1", True, False, False, False, False, False, False, False, 5))
        tx.sittings.note_deviation(made.id, Deviation("", 1, "late", f"{ALIAS} missed the bus", 5))
        tx.sittings.void_serving(void.id, f"{ALIAS} took it")
        tx.live.add_timetable(made.id, {"start": 1, "why": "planned"}, 0, f"{ALIAS}, in the hall")
        tx.skin.bar(Bar("trial-7", None, RETURNED, f"{ALIAS} had a cold", 5))
        tx.doors.begin_visit(tx_visit(made.ballot_ids[0]))
        tx.ballots.set_token(made.ballot_ids[0], 1, "a token hash")
        tx.ballots.draft(made.ballot_ids[0], tapped.id, "choice", "123")
        tx.ballots.draft(made.ballot_ids[0], tapped.id, "choice", "456")
        others(tx)
    old_timetable(made)
    add_draft(notebook, "draft", title=f"An evening with {ALIAS}")
    return made


def tx_visit(ballot_id: str) -> Any:
    from evaluation.store import Visit

    return Visit("a hash", "ballot", ballot_id, 1, 9, None)


def others(tx: Any) -> None:
    """Texts that belong to nobody and name somebody."""
    brief = tx.book.brief("brief")
    tx.book.replace_brief(replace(brief, title=f"For {ALIAS}", text=f"As {ALIAS} likes it."))
    tx.book.replace_trial(replace(tx.book.trial("trial-7"), changed=f"as {ALIAS} proposed"))
    tx.bottles.add(
        Bottle("b2", "trial-7", "2", Decimal(10), date(2026, 1, 2), None, CASED, 9, lots=CASED, stored="dark")
    )
    tx.skin.add_material(Material("m9", "Invented wood", "base", note=CASED, made_at=6))
    tx.skin.add_limit(
        SkinLimit("m9", Decimal("0.4"), f"sheet of {ALIAS}", date(2020, 2, 1), LEFT_ON_SKIN, tx.clock.now())
    )
    tx.skin.confirm_limit(tx.skin.limits()[-1].number, ALIAS, tx.clock.now())
    tx.reactions.decide(GoAhead(frozenset({"m1"}), f"it was only {ALIAS}", 9))
    for reason in (f"{ALIAS} prefers it", "no name in this"):
        tx.decisions.add("brief", "trial-7", "keep", reason, canonical({}).decode())


def old_timetable(made: Held) -> None:
    """As it was kept until 2026-11-27: who keeps the strips in the timetable itself."""
    body = canonical({"start": 2, "keeper": f"{ALIAS}, on the shelf", "why": "late"}).decode()
    with made.notebook.writing() as tx:
        record = chain.append_record(tx._desk, made.id, "timetable", {"revision": 2, "digest": digest(body.encode())})
        row = {"session_id": made.id, "revision": 2, "body": body, "at": record.at, "sequence": record.sequence}
        tx._desk.add(rows.timetables, row)


def stands(made: Held) -> bool:
    with made.notebook.reading() as tx:
        return tx.log.verify(made.id) and tx.decisions.verify("brief")


def results(made: Held) -> list[tuple[str, ...]]:
    """What findings are made of: final answers, servings, dips, stops, states."""
    kept = ("servings", "dips", "stops", "key_orders", "sessions", "deviations")
    found = [cell for cell in everything(made.notebook) if cell[0] in kept and cell[1] != "plan"]
    with made.notebook.reading() as tx:
        given = [str(replace(one, value="")) if one.question == "remark" else str(one)
                 for one in tx.ballots.session_answers(made.id)]  # fmt: skip
        taps = sorted(map(str, tx.ballots.first_taps(made.id).items()))
    return [*sorted(found), *[("answers", one) for one in given], *[("taps", one) for one in taps]]


def test_everything_tied_to_somebody_goes_with_them(about: Held) -> None:
    before = results(about)
    with about.notebook.writing() as tx:
        for place in tx.texts.naming(ALIAS):
            if (place.table, place.column) in TIED:
                tx.texts.strike(place, ALIAS)
        tx.book.erase_panelist("person-1")
        kept = tx.people.kept("person-1")
    assert (kept.sessions, kept.answers) == (2, 2)
    assert {kept.drafts, kept.words, kept.links, kept.visits, kept.skin_answers, kept.patches, kept.skin_lines} == {0}
    assert stands(about)
    assert results(about) == before
    left = where_it_stands(about.notebook)
    assert not left & {
        ("panelists", "alias"), ("skin_bars", "reason"), ("timetables", "body"), ("answers", "value"),
        ("visits", "ballot_id"),
    }  # fmt: skip
    with about.notebook.reading() as tx:
        assert tx.live.keeper(about.id) == f"{GONE}, on the shelf"
        assert {place.text for place in tx.texts.naming("hall")} == set()
        assert tx.ballots.by_token("a token hash") is None


def test_a_name_is_struck_from_every_text_one_by_one_and_all_logs_hold(about: Held) -> None:
    """Until nothing names them but what was sealed in the clear, which is listed with the reason."""
    seen: set[tuple[str, str]] = set()
    while True:
        with about.notebook.reading() as tx:
            found = [one for one in tx.texts.naming(ALIAS) if not one.stays]
        if not found:
            break
        seen.add((found[0].table, found[0].column))
        with about.notebook.writing() as tx:
            tx.texts.strike(found[0], ALIAS)
        assert stands(about), found[0]
    plain = {(table.name, column) for table, columns in PLAIN.items() for column in columns}
    as_others = {("formula_lines", "lot"), ("skin_log", "note"), ("skin_log", "found")}  # as any other of theirs
    assert seen == (plain | set(_STRIKES)) - as_others
    assert where_it_stands(about.notebook) == {("panelists", "alias")}
    with about.notebook.writing() as tx:
        tx.book.erase_panelist("person-1")
    assert where_it_stands(about.notebook) == set()
    assert stands(about)


def test_a_struck_decision_or_timetable_cannot_be_altered_after_that(about: Held) -> None:
    with about.notebook.writing() as tx:
        for place in tx.texts.naming(ALIAS):
            if place.table in ("decisions", "timetables") and not place.stays:
                tx.texts.strike(place, ALIAS)
    assert stands(about)
    for change in (
        f"UPDATE decisions SET reason = 'another' WHERE reason = '{GONE} prefers it'",
        "UPDATE timetables SET body = replace(body, '\"late\"', '\"early\"')",
    ):
        kept = everything(about.notebook)
        raw(about.notebook, change)
        assert everything(about.notebook) != kept
        assert not stands(about)
        raw(about.notebook, "UPDATE decisions SET reason = :said WHERE reason = 'another'", said=f"{GONE} prefers it")


@pytest.mark.parametrize(
    ("column", "why"), [("plan", "sealed with the session"), ("label", "name of something"), ("evidence", "evidence")]
)
def test_what_is_sealed_in_the_clear_is_listed_and_stays(notebook: Notebook, column: str, why: str) -> None:
    made = held(notebook, title="An evening with 7")
    with notebook.writing() as tx:
        tx.decisions.add("brief", "trial-7", "keep", "as it is", canonical({"said": "trial 7"}).decode())
    with notebook.reading() as tx:
        place = next(one for one in tx.texts.naming("7") if one.column == column)
    assert why in place.stays
    with pytest.raises(StateError, match=why), notebook.writing() as tx:
        tx.texts.strike(place, "7")
    assert made.verifies()


def test_what_somebody_found_over_a_day_on_skin_is_searched_and_struck(notebook: Notebook) -> None:
    """The words of one person may name another, whose erasing takes away only lines of their own."""
    held(notebook)
    with notebook.writing() as tx:
        tx.reactions.wear(DayWorn("person-2", "trial-7", f"warm, and {ALIAS} liked it on me", 5))
    with notebook.writing() as tx:
        (place,) = tx.texts.naming(ALIAS)
        tx.texts.strike(place, ALIAS)
    assert not where_it_stands(notebook)
    with notebook.reading() as tx:
        assert [one.found for one in tx.reactions.days_worn()] == [f"warm, and {GONE} liked it on me"]


def test_a_text_that_is_gone_is_not_struck_twice(notebook: Notebook) -> None:
    held(notebook)
    with notebook.writing() as tx:
        tx.book.replace_panelist(replace(tx.book.panelist("person-2"), note="knows Nose 1"))
        (place,) = tx.texts.naming("nose 1")
        assert place == NamedIn("panelists", "note", '["person-2"]', "knows Nose 1")
        tx.texts.strike(place, "nose 1")
        assert tx.book.panelist("person-2").note == "knows …"
        with pytest.raises(NotFound):
            tx.texts.strike(place, "nose 1")


@pytest.mark.parametrize(
    ("word", "text", "met"),
    [
        ("Ana", "ANA's strip", True),
        ("Ana", "Anatomy, banana", False),
        ("Al", "al dente", False),
        ("Al", "with Al.", True),
        ("Ann-Kathrin O'Neil", "by ann-kathrin o'neil", True),
        ("(Rose)", "a (rose) here", True),
        ("Élodie", "élodie", True),
        ("7%_", "7% x", False),
    ],
)
def test_names_are_met_as_whole_words(word: str, text: str, met: bool) -> None:
    assert bool(pattern(word).search(text)) == met


def test_no_word_of_an_erased_person_is_left_in_the_file(tmp_path: Any) -> None:
    notebook = Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1))
    made = held(notebook)
    with notebook.writing() as tx:
        tx.live.add_timetable(made.id, {"start": 1}, 0, f"{ALIAS}, in the hall")
        tx.skin.bar(Bar("trial-7", None, RETURNED, f"{ALIAS} had a cold", 5))
        for place in tx.texts.naming(ALIAS):
            tx.texts.strike(place, ALIAS)
    notebook.close()
    assert not [file.name for file in tmp_path.iterdir() if ALIAS.encode() in file.read_bytes()]
