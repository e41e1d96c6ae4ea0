"""Answers typed from paper: read, locked on behalf of a panelist, or refused with nothing changed."""

from __future__ import annotations

from typing import Any

import pytest

from evaluation.actions import ballot, bench, paper, paper_reading
from evaluation.errors import AlreadyAnswered, ArgumentError, StateError
from evaluation.sessions import Question
from evaluation.store import read_body
from evaluation.values.descriptors import Descriptor
from tests import scenes

LIST = (
    Descriptor("woody"),
    Descriptor("smoky", "category"),
    Descriptor("sweet", "check"),
    Descriptor("musky", "level"),
)
CODES = ("482", "517", "903")


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=6)


def three(scene: scenes.Scene) -> tuple[str, ...]:
    from evaluation.actions import book

    return (book.add_trial(scene.notebook, scene.brief_id, "9").id,)


def answers(notebook: Any, session_id: str) -> dict[tuple[str, str], str]:
    with notebook.reading() as tx:
        return {(one.serving_id, one.question): one.value for one in tx.ballots.session_answers(session_id)}


def first(notebook: Any, session: Any) -> paper.Card:
    return paper.cards(notebook, session.id)[0]


# --- reading ------------------------------------------------------------------------------------------------------------


def asked(name: str, options: tuple[str, ...], kind: str = "choice", pick: int = 1) -> Question:
    return Question("set", name, CODES, options, pick, kind)


LINE = asked("rate woody", ("not smelt", "skip"), "line")
SURE = asked("sure", ("guess", "unsure", "fairly sure", "sure"))
CHOICE = asked("choice", (*CODES, "none"))
PAIRS = Question("set", "choice", ("1", "2", "3", "4"), ("1+2|3+4", "1+3|2+4", "1+4|2+3"))


@pytest.mark.parametrize(
    ("question", "typed", "value"),
    [
        (LINE, "0", "0.0"),
        (LINE, "100", "10.0"),
        (LINE, "63", "6.3"),  # 63 mm of a line of 100 mm that stands for 0 to 10
        (LINE, "n", "not smelt"),
        (LINE, "s", "skip"),
        (SURE, "3", "fairly sure"),
        (CHOICE, "517", "517"),
        (CHOICE, "0", "none"),
        (PAIRS, "2 4", "1+3|2+4"),
        (PAIRS, "3 1", "1+3|2+4"),
        (asked("choice", CODES, pick=2), "903 482", "482+903"),
        (asked("ranking", CODES, "ranking", 3), "903 482 517", "903>482>517"),
        (asked("rate sweet", ("no", "yes"), "check"), "y", "yes"),
        (asked("rate smoky", (*"0123456789", "not smelt", "skip"), "category"), "7", "7"),
        (asked("rate musky", ("too weak", "right", "too strong", "not smelt", "skip"), "level"), "1", "too weak"),
    ],
)
def test_a_typed_answer_is_the_stored_one(question: Question, typed: str, value: str) -> None:
    assert paper_reading.read_line((question,), typed).values == ((question.name, value),)
    assert paper_reading.read_value(question, typed) == value


@pytest.mark.parametrize(
    ("question", "typed"),
    [
        (LINE, "101"),
        (LINE, "6.3"),
        (LINE, "-1"),
        (SURE, "0"),
        (SURE, "5"),
        (CHOICE, "999"),
        (CHOICE, "1"),
        (PAIRS, "1 1"),
        (PAIRS, "1"),
        (asked("choice", CODES, pick=2), "482 482"),
        (asked("ranking", CODES, "ranking", 3), "482 482 517"),
        (SURE, "3 3"),
        (SURE, ""),
        (SURE, "3 @24:00"),
        (SURE, "3 #" + "x" * 1001),
    ],
)
def test_what_cannot_be_an_answer_is_refused_in_one_sentence(question: Question, typed: str) -> None:
    with pytest.raises(ArgumentError) as refused:
        paper_reading.read_line((question,), typed)
    assert str(refused.value).endswith(".")
    assert "\n" not in str(refused.value)


def test_an_option_may_be_written_in_full_in_a_table() -> None:
    assert paper_reading.read_value(SURE, "Fairly sure") == "fairly sure"
    assert paper_reading.read_value(PAIRS, "1+3|2+4") == "1+3|2+4"


def test_a_dot_leaves_a_question_blank_also_where_two_codes_belong() -> None:
    read = paper_reading.read_line((PAIRS, SURE), ". 2 # wet strip")
    assert read.values == (("sure", "unsure"),)
    assert read.remark == "wet strip"


# --- locking ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", ["triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"])
def test_a_whole_panel_typed_from_paper_gives_what_the_phones_would(notebook: Any, scene: Any, method: str) -> None:
    """The same picks tapped on a ballot and typed from a card are stored as the same values."""
    session = scene.smelling(method=method)
    tapped = scenes.ballots(notebook, session.id)[0]
    scenes.answer_all(notebook, tapped.id)
    for card in [one for one in paper.cards(notebook, session.id) if one.seat > 1]:
        picks = [(q.options[0].split("|")[0] if "|" in q.options[0] else scenes.first_option(q)) for q in card.open]
        words = [p if q.options[0] in q.codes or "|" in q.options[0] else paper_reading.numbered(q)[0][0]
                 for q, p in zip(card.open, picks, strict=True)]  # fmt: skip
        done = paper.enter(notebook, session.id, card.label, " ".join(words))
        assert done.finished == (card.serving is None)
    with notebook.reading() as tx:
        stored = tx.ballots.session_answers(session.id)
        served = {one.id: one for one in tx.sittings.servings(session.id)}
        assert all(one.finished_at for one in tx.ballots.ballots(session.id))
        assert tx.log.verify(session.id)
    shapes = {}
    for one in stored:
        tray = served[one.serving_id].codes if one.serving_id else ()
        where = tuple(tray.index(code) if code in tray else code for code in one.value.replace("|", "+").split("+"))
        shapes.setdefault(one.ballot_id, []).append((one.question, where))
    assert len({tuple(sorted(map(str, shape))) for shape in shapes.values()}) == 1


def test_a_profile_typed_in_millimetres_is_stored_as_tenths(notebook: Any, scene: scenes.Scene) -> None:
    session = scene.smelling(method="profile", descriptors=LIST, asks_liking=True)
    card = first(notebook, session)
    paper.enter(notebook, session.id, card.label, "63 4 y 2 s 88")
    mine = {name: value for (serving, name), value in answers(notebook, session.id).items() if serving}
    assert mine == {"rate woody": "6.3", "rate smoky": "4", "rate sweet": "yes", "rate musky": "right",
                    "rate strength": "skip", "rate liking": "8.8"}  # fmt: skip


def test_rounds_and_rankings_are_typed_by_code(notebook: Any, scene: scenes.Scene) -> None:
    more = three(scene)
    session = scene.smelling(method="ranking", other_trial_ids=more)
    card = first(notebook, session)
    worst_first = tuple(reversed(card.codes))
    paper.enter(notebook, session.id, "1-1", " ".join(worst_first))
    assert answers(notebook, session.id) == {(card.serving_id, "ranking"): ">".join(worst_first)}
    session = scene.smelling(method="round", other_trial_ids=more)
    card = first(notebook, session)
    paper.enter(notebook, session.id, "1-1", f"{card.codes[1]} 4 0")
    stored = answers(notebook, session.id)
    assert stored[card.serving_id, "choice"] == card.codes[1]
    assert stored[card.serving_id, "nearer"] == "none"


def test_a_preference_over_several_ages_asks_its_last_card_after_all_choices(notebook: Any, scene: Any) -> None:
    session = scene.smelling(method="preference", minutes=(5, 60), primary="overall")
    *sets, last = [one for one in paper.cards(notebook, session.id) if one.seat == 1]
    assert (last.waits, last.questions) == (True, ())
    with pytest.raises(StateError, match="comes last"):
        paper.enter(notebook, session.id, last.label, "1")
    for card in sets:
        paper.enter(notebook, session.id, card.label, f"{card.codes[0]} 2 {card.codes[0]}")
    last = paper.cards(notebook, session.id)[2]
    assert last.open[0].options[:2] == tuple(" ".join(group) for group in _groups(notebook, last))
    assert paper.enter(notebook, session.id, last.label, "1 2 3 1 5 n").finished
    with notebook.reading() as tx:
        said = {one.question: one.value for one in tx.ballots.answers(last.ballot_id)}
    assert said["overall"] == last.open[0].options[0]
    assert said[f"wear {last.open[0].options[0]}"] == "perhaps"


def _groups(notebook: Any, card: paper.Card) -> Any:
    with notebook.reading() as tx:
        return tx.ballots.groups_for(card.ballot_id)


def test_typing_is_logged_as_typed_from_paper_with_the_time_of_smelling(notebook: Any, scene: Any) -> None:
    session = scene.smelling(zone="Europe/Paris")  # the clock stands at 08:00 UTC, 09:00 there
    card = first(notebook, session)
    paper.enter(notebook, session.id, card.label, f"{card.codes[0]} 1 @8:42 # a bit wet")
    (line,) = [one for one in bench.log(notebook, session.id) if one.kind == paper.TYPED]
    body = read_body(line)
    assert (body["serving_id"], body["seat"]) == (card.serving_id, 1)
    assert body["smelt_at"] == notebook.clock.instant // 3_600_000 * 3_600_000 - 18 * 60_000
    assert answers(notebook, session.id)[card.serving_id, "remark"] == "a bit wet"


def test_a_time_later_than_now_was_yesterday_and_one_in_a_clock_change_is_refused(notebook: Any, scene: Any) -> None:
    session = scene.smelling(zone="Europe/Paris")
    card = first(notebook, session)
    paper.enter(notebook, session.id, card.label, f"{card.codes[0]} 1 @23:00")
    (line,) = [one for one in bench.log(notebook, session.id) if one.kind == paper.TYPED]
    assert read_body(line)["smelt_at"] == notebook.clock.instant // 3_600_000 * 3_600_000 - 10 * 3_600_000
    notebook.clock.instant = 1_774_749_600_000  # 2026-03-29 02:00 UTC, 04:00 in Paris; 02:00-03:00 did not exist
    with pytest.raises(ArgumentError, match="change of the clocks"):
        paper.enter(notebook, session.id, "2-1", f"{paper.cards(notebook, session.id)[2].codes[0]} 1 @2:30")


def test_hearing_another_is_noted_from_paper_too(notebook: Any, scene: scenes.Scene) -> None:
    session = scene.smelling()
    paper.enter(notebook, session.id, "3-2", "y")
    with notebook.reading() as tx:
        assert [(one.seat, one.kind) for one in tx.sittings.deviations(session.id)] == [(3, "overheard")]


def test_what_is_locked_stays_and_only_the_rest_is_asked(notebook: Any, scene: scenes.Scene) -> None:
    session = scene.smelling()
    card = first(notebook, session)
    ballot.lock(notebook, card.ballot_id, card.serving_id, "choice", card.codes[0])
    assert [one.name for one in first(notebook, session).open] == ["sure"]
    paper.enter(notebook, session.id, card.label, "2")
    before = answers(notebook, session.id)
    with pytest.raises(AlreadyAnswered):
        paper.enter(notebook, session.id, card.label, f"{card.codes[1]} 2")
    assert answers(notebook, session.id) == before


def test_a_blank_leaves_the_ballot_open(notebook: Any, scene: scenes.Scene) -> None:
    session = scene.smelling()
    card = first(notebook, session)
    paper.enter(notebook, session.id, "1-2", "n")
    assert not paper.enter(notebook, session.id, "1-1", f"{card.codes[0]} .").finished
    assert [one.name for one in first(notebook, session).open] == ["sure"]
    with pytest.raises(ArgumentError, match="no answer"):
        paper.enter(notebook, session.id, "1-1", ".")


@pytest.mark.parametrize("then", ["seal", "close"])
def test_paper_is_typed_only_while_smelling(notebook: Any, scene: scenes.Scene, then: str) -> None:
    session = scene.sealed()
    if then == "close":
        bench.start(notebook, session.id)
        bench.close(notebook, session.id)
    card = first(notebook, session)
    for typing in (
        lambda: paper.enter(notebook, session.id, card.label, f"{card.codes[0]} 1"),
        lambda: paper.enter_table(notebook, session.id, b"card,question,answer\r\n1-1,sure,1\r\n"),
    ):
        with pytest.raises(StateError, match="while a session is being smelt"):
            typing()
    assert answers(notebook, session.id) == {}


def test_a_session_alone_has_no_paper(notebook: Any, scene: scenes.Scene) -> None:
    session = scene.sealed(people=1, solo=True, replicates=6)
    with pytest.raises(StateError, match="no paper cards"):
        paper.cards(notebook, session.id)


# --- tables -------------------------------------------------------------------------------------------------------------


def filled(notebook: Any, session: Any) -> list[list[str]]:
    """The template with the first option in full everywhere."""
    import csv
    import io

    lines = list(csv.reader(io.StringIO(paper.template(notebook, session.id))))
    asked_of = {(card.label, q.name): q for card in paper.cards(notebook, session.id) for q in card.open}
    return [lines[0], *([*line[:-1], asked_of[line[0], line[3]].options[0]] for line in lines[1:])]


def packed(lines: list[list[str]]) -> bytes:
    import csv
    import io

    out = io.StringIO()
    csv.writer(out).writerows(lines)
    return out.getvalue().encode("utf-8-sig")


def test_a_filled_template_stores_everything(notebook: Any, scene: scenes.Scene) -> None:
    session = scene.smelling(minutes=(5, 60), primary=300)
    lines = filled(notebook, session)
    assert paper.enter_table(notebook, session.id, packed(lines)) == len(lines) - 1
    assert all(seat.finished for seat in bench.progress(notebook, session.id))


BAD = [
    (lambda lines: lines[5].__setitem__(-1, "999"), "line 6: answer to “sure”|line 6: answer to “choice”"),
    (lambda lines: lines[5].__setitem__(0, "9-9"), "line 6: card must be"),
    (lambda lines: lines[5].__setitem__(1, "Nose 6"), "line 6: panelist of card"),
    (lambda lines: lines[4].__setitem__(2, "111 222 333"), "line 5: codes of card"),
    (lambda lines: lines[5].__setitem__(3, "colour"), "line 6: question of card"),
    (lambda lines: lines.append(lines[5]), "line 20: .* stands on line 6 already"),
    (lambda lines: lines[5].pop(), "line 6 has 5 cells"),
    (lambda lines: lines[0].__setitem__(5, "reply"), "line 1 must name .* missing: answer"),
    (lambda lines: lines[0].__setitem__(4, "colour"), "line 1 must name each of the columns"),
]


@pytest.mark.parametrize(("spoil", "says"), BAD)
def test_one_bad_line_is_named_and_nothing_is_stored(notebook: Any, scene: Any, spoil: Any, says: str) -> None:
    session = scene.smelling()
    lines = filled(notebook, session)
    assert len(lines) == 19  # six people, three questions each, and the head
    spoil(lines)
    with pytest.raises(ArgumentError, match=says):
        paper.enter_table(notebook, session.id, packed(lines))
    assert answers(notebook, session.id) == {}
    assert not [one for one in bench.log(notebook, session.id) if one.kind == paper.TYPED]


@pytest.mark.parametrize("content", [b"card;question;answer\n1-1;sure;1\n", b"card\tquestion\tanswer\n"])
def test_other_separators_are_named(notebook: Any, scene: scenes.Scene, content: bytes) -> None:
    with pytest.raises(ArgumentError, match="separated by commas"):
        paper.enter_table(notebook, scene.smelling().id, content)


def test_empty_lines_and_empty_answers_are_passed_over(notebook: Any, scene: scenes.Scene) -> None:
    session = scene.smelling()
    content = b'card,question,answer\n\n1-1,sure,2\n1-1,choice,\n1-1,smelt at,7:30\n1-1,remark,"two\nlines"\n'
    assert paper.enter_table(notebook, session.id, content) == 2
    with pytest.raises(ArgumentError, match="no answer"):
        paper.enter_table(notebook, session.id, b"card,question,answer\n1-1,choice,\n")
    with pytest.raises(ArgumentError, match=r"line 2: .*answered already"):
        paper.enter_table(notebook, session.id, b"card,question,answer\n1-1,sure,2\n")
