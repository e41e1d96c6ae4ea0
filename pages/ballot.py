"""The ballot: one panelist, one question at a time, each answer locked and stored before the next is shown."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from secrets import randbits
from typing import Final

import streamlit as st
from parts import house
from parts.ballot import around_questions as words
from parts.ballot import asking_back as asking
from parts.ballot import calling as call
from parts.ballot import choice, look, receipts_kept, scripts, top
from parts.ballot import rating as rate
from parts.ballot import stop_screens as stopping
from parts.doors import visitor

from evaluation import wording
from evaluation.actions import ballot, doors
from evaluation.actions.ballot import BallotView
from evaluation.errors import AlreadyAnswered, MouilletteError, told_to_panelists
from evaluation.ground.markup import Html, joined
from evaluation.kinds import kind_of
from evaluation.serving import smelling
from evaluation.sessions import OVERALL, SKIN, Question
from evaluation.values.scales import SKIPPED

ASK_AGAIN_SECONDS: Final = 5
SIGN_IN: Final = "/sign-in"
REMARKED: Final = frozenset({"sure", "overheard"})  # one remark a set, one at the end

_BEGUN: Final = "ballot begun"
_NOTICE: Final = "ballot notice"
_REMARK: Final = "ballot remark"  # number of the question whose remark field is open


@dataclass(frozen=True, slots=True)
class Notice:
    """What became of the last try to lock, kept for the screen after it."""

    turn: int  # random: a page outlives a restarted server and must not take the next notice for an old one
    stored: bool
    text: str
    asked: tuple[str, str]  # serving id and name of the question
    missing: tuple[str, ...] = ()  # names of ratings that stand between a strip and its lock
    receipt: str = ""  # of what was stored


def page() -> None:
    """The whole page; what changes at a tap lies in one fragment."""
    st.html(look.STYLE)
    st.html(look.LIVE_REGION + look.lost(words.LOST))
    st.html(scripts.once_a_page(), unsafe_allow_javascript=True)
    seen = [_view()]
    waiting, invited = _waiting(seen[0]), seen[0] is not None
    st.fragment(_screen, run_every=ASK_AGAIN_SECONDS if waiting else None)(waiting, seen)
    if invited:
        receipts_kept.show_box(words.RECEIPTS, words.RECEIPTS_TEXT)


def _screen(waiting: bool, seen: list[BallotView | None]) -> None:
    """One screen. ``waiting`` tells whether this run belongs to the self-refreshing waiting page.

    ``seen`` hands over what the page's own run has just looked up; later runs of the fragment find it empty.
    """
    view = seen.pop() if seen else _view()
    if waiting and not _waiting(view):
        st.rerun(scope="app")  # ends the refreshing
    if stopped := stopping.first(view):  # what to do, before anything of the study
        assert view is not None
        stopping.to_do(view, stopped)
        return
    if view is None:
        _words(words.NO_WAY_IN, words.NO_WAY_IN_LINES, link=(SIGN_IN, words.SIGN_IN))
    elif view.question is None:
        title, lines = _WITHOUT_QUESTION.get(view.state, (words.THANKS, words.OVER_LINES))
        _words(title, (*lines, *(call.first(view) if view.state == "sealed" else ())))
    elif view.number == 1 and not view.drafts and not st.session_state.get(_BEGUN):
        _welcome(view)
        with st.container(key="ballot-later"):  # the first question waits under the welcome, out of sight
            _question(view, view.question)
    else:
        _question(view, view.question)
    stopping.draw(view)
    _announce(view)


def _view() -> BallotView | None:
    """What this visitor may see now, asked of the store at every run; None for anybody but a panelist."""
    with house.current().notebook.reading() as tx:
        ballot_id = visitor.ballot_in(tx)
        return None if ballot_id is None else ballot.view_in(tx, ballot_id)


def _ballot_id() -> str | None:
    known = visitor.current()
    return known.ballot_id if known.role == doors.BALLOT else None


def _waiting(view: BallotView | None) -> bool:
    return view is not None and view.state == "sealed"


_WITHOUT_QUESTION: Final = {
    "sealed": (words.WAIT, words.WAIT_LINES),
    "smelling": (words.THANKS, words.FINISHED_LINES),
    "void": (words.THANKS, words.VOID_LINES),
}


def _words(title: str, lines: tuple[str, ...], link: tuple[str, str] = ("", "")) -> None:
    st.html(look.text_page(title, lines, link=link))


def _welcome(view: BallotView) -> None:
    how = joined(look.steps(title, lines) for title, lines in stopping.how_to_smell(view))
    st.html(look.text_page(words.WELCOME, stopping.welcome(view), stopping.cautions(view), heading=words.BEFORE) + how)
    st.button(words.BEGIN, type="primary", width="stretch", key="begin", on_click=_begin)


def _begin() -> None:
    st.session_state[_BEGUN] = True


def _question(view: BallotView, asked: Question) -> None:
    """One screen, in few elements (each costs a message), all at fixed places (so that no old button outlives it)."""
    with st.container():
        waits = top.draw(view)
    if waits:
        last: Notice | None = st.session_state.get(_NOTICE)
        st.html(look.refusal(last.text) if last is not None and not last.stored else "<span></span>")
        return
    (_rating if rate.drawn_here(asked) else _choice)(view, asked)
    st.button(words.AGAIN, key=scripts.AGAIN_KEY)  # out of sight; its run sends again what was chosen


def _choice(view: BallotView, asked: Question) -> None:
    text, below = wording.ballot_question(view.method, asked.name, view.descriptor)
    st.html(joined((_mark(view, asked), *_above(view), *_shown(view, asked, text, below))))
    with st.container():
        answered = choice.control(asked, view.number, text) is not None
        if asked.name in REMARKED:
            _remark(view.number)
    st.button(
        words.LOCK,
        type="primary",
        width="stretch",
        key=f"lock-{view.number}",
        disabled=not answered,
        on_click=_lock,
        args=(asked, view.number),
    )


def _rating(view: BallotView, asked: Question) -> None:
    """All ratings of one strip, or a ranking. What keeps it from being locked is said beside the lock."""
    last: Notice | None = st.session_state.get(_NOTICE)
    refused = last if last is not None and not last.stored and _said_below(view, last) else None
    st.html(joined((_mark(view, asked), *_above(view), *_smelt(view, asked))))
    with st.container():
        rate.control(view, partial(_drafted, view), *((refused.missing, refused.turn) if refused else ()))
        _remark(view.number)
    with st.container():
        if refused:
            st.html(look.refusal(refused.text))
    st.button(
        _lock_label(view),
        type="primary",
        width="stretch",
        key=f"lock-{view.number}",
        disabled=rate.untouched(view),
        on_click=_lock_all,
        args=(view,),
    )
    with st.container():  # below the lock: the second tap of two quick ones must not land here
        if refused and refused.missing:
            skip = (words.SKIP_REST, f"skip-{view.number}")
            st.button(skip[0], width="stretch", key=skip[1], on_click=_lock_all, args=(view, True))


def _mark(view: BallotView, asked: Question) -> Html:
    """Says nothing by itself: a digest of ids that were drawn at random, in letters, so that it shows no code."""
    told = f"{view.ballot.id} {asked.serving_id} {asked.name}"
    return look.mark("".join("abcdefghijklmnop"[one % 16] for one in sha256(told.encode()).digest()[:16]))


def _lock_label(view: BallotView) -> str:
    if not kind_of(view.method).rates:
        return words.LOCK
    return words.LOCK_SKIN if view.medium == SKIN else words.LOCK_STRIP


def _smelt(view: BallotView, asked: Question) -> Iterator[Html]:
    """What is to be smelt now, and what to do with it."""
    if kind_of(view.method).rates:
        yield look.question(words.rate(asked.codes[0], "".join(view.sites)), words.WARM_UP_LINE if view.warm_up else "")
    else:
        text, below = wording.ballot_question(view.method, asked.name)
        yield look.question(text, _on_new_tray(view, below))
    yield from _reminded(view)


def _reminded(view: BallotView) -> Iterator[Html]:
    """How to smell, in one line beside what is to be smelt."""
    if view.way is not None:
        yield look.reminder(smelling.reminder(view.way))


def _above(view: BallotView) -> Iterator[Html]:
    """Where the ballot is, and what became of the last answer.

    The last notice stays until the next one: a line that vanished would move the buttons under a thumb.
    """
    last: Notice | None = st.session_state.get(_NOTICE)
    said = last.text if last is not None and last.stored else ""
    if last is not None and not last.stored and not _said_below(view, last):
        yield look.refusal(last.text)
    if kind_of(view.method).rates and view.question and view.question.serving_id:
        yield look.count(_strip(view), said)
        return
    if view.set_number:
        yield look.line(*asking.place(view))
    yield look.count(words.count(view.number, view.total), said)


def _said_below(view: BallotView, last: Notice) -> bool:
    """A rating screen says beside its lock, at the foot of a long page, why it was not locked."""
    asked = view.question
    return asked is not None and rate.drawn_here(asked) and last.asked == (asked.serving_id, asked.name)


def _strip(view: BallotView) -> str:
    which, when = asking.place(view)
    return f"{words.WARM_UP if view.warm_up else which}, {when}"


def _shown(view: BallotView, asked: Question, text: str, below: str) -> Iterator[Html]:
    """The question, what it needs to be understood, and the codes on the tray where nothing else names them."""
    yield look.question(text, _on_new_tray(view, below) if asked.name == "choice" else below)
    if asked.name == "choice":
        yield from _reminded(view)
    yield from stopping.places(view)
    if asked.name == "nearer" and view.brief_text:
        yield look.brief(words.BRIEF, view.brief_text)
    if _unnamed(asked, text) and view.medium != SKIN:
        yield look.tray(words.TRAY, asked.codes, words.REFERENCE if kind_of(view.method).reference else "")


def _on_new_tray(view: BallotView, below: str) -> str:
    """The line below a question; before it, from the second set on, that there is something new to smell."""
    return f"{stopping.new(view)} {below}".strip() if view.set_number > 1 else below


def _unnamed(asked: Question, text: str) -> bool:
    """Some code stands neither in the question nor as an option of its own: twice on one screen it would mislead."""
    told = {*asked.options, *re.findall(r"\d+", text)}
    return asked.name != OVERALL and not {code for group in asked.codes for code in group.split()} <= told


def _remark(number: int) -> None:
    if st.session_state.get(_REMARK) == number:
        st.text_area(words.REMARK, key=f"remark-{number}", max_chars=1000)
    else:
        st.button(words.ADD_REMARK, type="tertiary", key=f"add-{number}", on_click=_open_remark, args=(number,))


def _open_remark(number: int) -> None:
    st.session_state[_REMARK] = number


def _lock(asked: Question, number: int) -> None:
    """Store the answer before anything else is drawn; whatever is refused becomes one sentence."""
    ballot_id = _ballot_id()
    if ballot_id is None or _locked_here(asked):  # a link that was renewed; a double tap
        return
    value = choice.picked(asked, number)
    if value is None:  # a choice undone by a connection that came and went
        _say(False, words.CHOOSE_FIRST, asked)
        return
    _store(ballot_id, asked, {asked.name: value}, number)


def _lock_all(view: BallotView, skipping: bool = False) -> None:
    """Store all answers of a rating screen or none; ``skipping`` answers what is still open with "skip"."""
    ballot_id = _ballot_id()
    if ballot_id is None or not view.screen or _locked_here(view.screen[0]):
        return
    values = rate.picked(view)
    missing = [asked for asked in view.screen if asked.name not in values]
    if skipping:
        values |= {asked.name: SKIPPED for asked in missing}
    elif missing:
        text = (
            words.missing([rate.subject(asked) for asked in missing]) if kind_of(view.method).rates else words.UNORDERED
        )
        _say(False, text, view.screen[0], tuple(asked.name for asked in missing if kind_of(view.method).rates))
        return
    _store(ballot_id, view.screen[0], values, view.number)


def _drafted(view: BallotView) -> None:
    """Keep what was tapped on a rating screen, so that it is there again after a reload."""
    ballot_id = _ballot_id()
    if ballot_id is None or not kind_of(view.method).rates:
        return
    changed = {name: value for name, value in rate.touched(view).items() if view.drafts.get(name) != value}
    try:
        ballot.draft(house.current().notebook, ballot_id, view.screen[0].serving_id, changed)
    except MouilletteError as error:
        _say(False, told_to_panelists(error), view.screen[0])


def _store(ballot_id: str, asked: Question, values: dict[str, str], number: int) -> None:
    said = str(st.session_state.get(f"remark-{number}") or "")
    try:
        receipt = ballot.lock_screen(house.current().notebook, ballot_id, asked.serving_id, values, said)
    except AlreadyAnswered:
        _say(False, words.ALREADY, asked)
    except MouilletteError as error:
        _say(False, told_to_panelists(error), asked)
    else:
        _say(True, words.STORED, asked, receipt=receipt)


def _locked_here(asked: Question) -> bool:
    last: Notice | None = st.session_state.get(_NOTICE)
    return last is not None and last.stored and last.asked == (asked.serving_id, asked.name)


def _say(stored: bool, text: str, asked: Question, missing: tuple[str, ...] = (), receipt: str = "") -> None:
    st.session_state[_NOTICE] = Notice(randbits(48), stored, text, (asked.serving_id, asked.name), missing, receipt)


def _announce(view: BallotView | None) -> None:
    """After everything else of the screen, so that the new question is there to take the focus."""
    last: Notice | None = st.session_state.get(_NOTICE)
    if last is not None:
        stays = view is not None and not last.stored and _said_below(view, last)
        script = scripts.announcement(last.turn, last.text, focus=not stays, receipt=last.receipt)
        st.html(script, unsafe_allow_javascript=True)


page()
