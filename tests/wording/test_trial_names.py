"""Trials are never bare numbers or words in sentences: every wording module, with labels that could be taken for else."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from evaluation.actions import aims, bench, book, decide, descent, findings, formulas, skin, tracing
from evaluation.deciding.claims import between
from evaluation.formulas import read_lines
from evaluation.kinds import Separation
from evaluation.planning.layouts import ALL, combinations_of
from evaluation.report import brief, composing
from evaluation.report.blocks import Report
from evaluation.series.finals import HeldFinal
from evaluation.serving.blinding import correct_value
from evaluation.sessions import Question, Serving, StripAge
from evaluation.sheets.pieces import Text
from evaluation.values.briefs import Target
from evaluation.values.descriptors import Descriptor
from evaluation.values.second_strips import SecondStrip
from evaluation.values.trials import trial_name
from evaluation.wording import of_separations, of_series, of_suspects
from evaluation.wording.of_claims import between_words
from evaluation.wording.of_decisions import said_line, word_name
from evaluation.wording.of_lineages import beside_lines, list_lines
from tests import scenes, separations
from tests.scenes import Scene, answer_all, answer_by_worth, answer_profile, ballots, key_of

LABELS = ("4711", "7b", "cedar")
ONE = "(?:" + "|".join(map(re.escape, LABELS)) + ")"
BARE = re.compile(rf"(?<![\w.,:]){ONE}(?![\w])")
FANNED = r"(?: alone| beside \w+ [\d.]+ %)?"  # how a fan names the one trial it is of
NAMED = re.compile(rf"[Tt]rials? (?:{ONE}{FANNED}(?:, | and ))*$")

# Modules whose words name trials: each is played below.
NAMING = {
    *("decisions", "next_smellings", "claims", "verdicts", "profiles", "rounds", "sealed_plans", "evidence"),
    *("lineages", "pinning", "fans", "suspects", "separations", "taught", "worth", "series"),
}


def bare(lines: Iterable[str]) -> list[str]:
    """Sentences in which a trial stands without the word."""
    return [line for line in lines for at in BARE.finditer(line) if not NAMED.search(line[: at.start()])]


def test_the_scan_finds_what_it_is_for() -> None:
    assert bare(["4711 preferred", "0 for 7b", "cedar is preferred to trial 7b"]) != []
    assert len(bare(["4711 preferred: 11 of 12 people for trial 4711, 0 for 7b."])) == 2
    assert bare(["Trials 4711, 7b and cedar were smelt; trial cedar leads trial 4711."]) == []


@pytest.mark.parametrize(
    ("labels", "name"),
    [
        (("7",), "trial 7"),
        (("7b",), "trial 7b"),
        (("cedar",), "trial cedar"),
        (("7", "8"), "trials 7 and 8"),
        (("7", "7b", "cedar"), "trials 7, 7b and cedar"),
        (("Trial 7",), "trial 7"),  # a label that says it already
        (("trial", "Trials of may"), "trials trial and Trials of may"),
    ],
)
def test_one_function_names_trials(labels: tuple[str, ...], name: str) -> None:
    assert trial_name(*labels) == name


def test_the_modules_that_name_trials_are_those_played_here() -> None:
    """By the one function, or by way of the evidence; a new one is to be played here too."""
    found = {
        path.stem.removeprefix("of_")
        for path in (Path(book.__file__).parents[1] / "wording").glob("of_*.py")
        if re.search(r"trial_name\(|evidence\.name\(", path.read_text(encoding="utf-8"))
    }
    assert found == NAMING


def test_finals_that_run_or_failed_name_their_trials() -> None:
    over = HeldFinal(1, "brief", "a", LABELS[0], LABELS[1], True, 8, 8, False)
    running = HeldFinal(2, "brief", "b", LABELS[1], LABELS[0], False, 3, 8, True)
    told = [*of_series.before_words((over, running), 625)]
    assert told[0] == (
        "Finals that count before this one: 1 failed, 1 still running. Sealed now, it would need 625 to 1."
    )
    assert "625 to 1 instead of 125 to 1" in told[1]
    assert "3 of 8 have voted" in told[1]
    assert bare(told) == []


# --- every kind of session, opened ------------------------------------------------------------------------------------


class Named(Scene):
    """A scene whose three trials go by the labels above."""

    def trials(self, count: int) -> tuple[str, ...]:
        known = {one.label: one.id for one in book.trials(self.notebook, self.brief_id)}
        return tuple(known[label] for label in LABELS[:count])


@pytest.fixture
def made(notebook: Any) -> Scene:
    one = scenes.scene(notebook)
    for trial_id, label in zip(one.trials(3), LABELS, strict=True):
        book.change_trial(notebook, trial_id, label=label)
    return Named(notebook, one.brief_id, one.trial_ids, one.panelist_ids)


def opened(made: Scene, session: Any) -> str:
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    return str(session.id)


def preference(made: Scene, liked: str = "B") -> str:
    session = made.smelling(method="preference", confirmed=(), minutes=(5, 60), primary="overall")
    answer_by_worth(made.notebook, session.id, lambda seat, letter: float((letter == liked) == (seat > 1)))
    return opened(made, session)


def triangle(made: Scene, **changes: Any) -> str:
    session = made.smelling(**changes)
    orders = dict(key_of(made.notebook, session.id).orders)

    def right(asked: Question) -> str:
        if asked.name != "choice":
            return asked.options[0]
        return correct_value("triangle", orders[asked.serving_id], asked.codes, "")

    for one in ballots(made.notebook, session.id):
        answer_all(made.notebook, one.id, right)
    return opened(made, session)


def profile(made: Scene) -> str:
    words = (Descriptor("woody"), Descriptor("smoky", "check"), Descriptor("sweetness", "level"))
    session = made.smelling(
        method="profile", trials=3, minutes=(5, 60, 240), primary=None, descriptors=words, asks_liking=True
    )

    def rate(seat: int, letter: str, serving: Serving, word: str) -> str:
        if word == "smoky":
            return "yes" if letter == "B" else "no"
        if word == "sweetness":
            return ("too weak", "right", "too strong")[seat % 3]
        early = serving.age_seconds < 3600
        return f"{4 + 3 * (letter == ('B' if early else 'A')) + seat / 10:.1f}"

    answer_profile(made.notebook, session.id, rate)
    return opened(made, session)


def several(made: Scene, method: str, **changes: Any) -> str:
    session = made.smelling(method=method, trials=3, **changes)
    camps = changes.get("replicates", 1) > 1
    worth = lambda seat, letter: "ABC".index(letter) * (-1.0 if camps and seat % 2 else 1.0)  # noqa: E731
    answer_by_worth(made.notebook, session.id, worth)
    return opened(made, session)


def fan(made: Scene) -> str:
    strips = (SecondStrip(name, Decimal(1)) for name in ("oak", "fig", "iris"))  # "cedar" is a trial here
    session = made.smelling(**scenes.fan(made, *strips))
    answer_by_worth(made.notebook, session.id, lambda seat, letter: "DCAB".index(letter))
    return opened(made, session)


def sentences(report: Report) -> Iterator[str]:
    """Paragraphs and captions; what stands in a cell of a table is no sentence."""
    for block in report.blocks:
        if isinstance(block, Text):
            yield block.text
        yield getattr(block, "caption", "")


KINDS = {
    "preference": lambda made: preference(made),
    "triangle": lambda made: triangle(made, minutes=(5, 60)),
    "looks": lambda made: triangle(made, look_every=4, confirmed=("not noticed", "noticed")),
    "profile": lambda made: profile(made),
    "round": lambda made: several(made, "round"),
    "camps": lambda made: several(made, "round", replicates=4),
    "ranking": lambda made: several(made, "ranking"),
    "fan": lambda made: fan(made),
}


@pytest.mark.parametrize("kind", KINDS)
def test_reports_of_sessions_name_trials(made: Scene, kind: str) -> None:
    """With what was changed between them, and what that can be pinned on."""
    session_id = KINDS[kind](made)
    for number, trial_id in enumerate(made.trials(3), start=1):
        formulas.write(made.notebook, trial_id, read_lines(f"Fig; {number}\nCedar; 2"), new_materials=True)
    told = list(sentences(composing.report(made.notebook, session_id, formulas=True)))
    assert bare(told) == []
    assert any(BARE.search(line) for line in told)  # trials are told at all


@pytest.mark.parametrize(
    "kinds", [("preference", "triangle"), ("profile", "round"), ("camps",), ("looks", "ranking", "fan")]
)
def test_decisions_and_what_to_smell_next_name_trials(made: Scene, kinds: tuple[str, ...]) -> None:
    aims.save_targets(made.notebook, made.brief_id, (Target("woody", "at least", Decimal(9)),))
    for kind in kinds:
        KINDS[kind](made)
    decide.decide(made.notebook, made.brief_id, made.trial_ids[0], "drop", "it is not dry")
    told = list(sentences(brief.report(made.notebook, made.brief_id)))
    seen = decide.evidence(made.notebook, made.brief_id)
    told += [said_line(one, seen) for session in seen.sessions for one in session.said]
    tree = descent.of_brief(made.notebook, made.brief_id)
    told += [*beside_lines(tree), *(line for one in tree.places for line in list_lines(tree, one.trial_id))]
    assert bare(told) == []
    assert f"1. {word_name('drop')} trial 4711" in told
    assert any(BARE.search(line) for line in told)


def test_what_lies_between_trials_names_them() -> None:
    parents = {"a": None, "b": "a", "c": "b"}
    labels = dict(zip("abc", LABELS, strict=True))
    for pair in (("a", "b"), ("a", "c")):
        assert bare([between_words(between(parents, *pair), labels)]) == []


def test_an_off_note_names_its_trial(made: Scene) -> None:
    trial = made.trial_ids[0]
    formulas.write(made.notebook, trial, read_lines("Fig; 9\nOak; 4\nCarrier; 87"), new_materials=True)
    named = {one.name: one.id for one in skin.materials(made.notebook)}
    skin.change_material(made.notebook, named["Carrier"], solvent=True)
    asked = tracing.Asked("rubbery", made.panelist_ids, StripAge(1800, 180))
    sealed = tracing.seal_trace(made.notebook, trial, [named["Fig"], named["Oak"]], asked)
    session = tracing.next_sitting(made.notebook, sealed.id)
    bench.start(made.notebook, session.id)
    for one in ballots(made.notebook, session.id):
        answer_all(made.notebook, one.id)
    opened(made, session)
    (found,) = tracing.traces(made.notebook, made.brief_id)
    assert found.added.trace is not None
    told = [
        of_suspects.question_of(sealed.series, found.names[0]),
        *of_suspects.trace_lines(found.added.trace, found.names[0]),
        *sentences(brief.report(made.notebook, made.brief_id)),
    ]
    assert bare([line.replace("4711 − Fig", "it").replace("4711 − Oak", "it") for line in told]) == []
    assert any("trial 4711" in line for line in told)


def test_bottles_that_tell_changes_apart_are_named() -> None:
    own = Separation(("oak", "fig"), combinations_of(ALL, 2))
    told = of_separations.plan_lines(separations.separating(own), own, (*LABELS, "7"))
    assert bare(told) == []
    assert any("trial 4711: " in line for line in told)
