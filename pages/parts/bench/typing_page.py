"""Typing answers from paper: one plain page with one field, worked by the keyboard alone, and a table to send in."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from parts.doors import plain_pages
from parts.house import House

from evaluation import wording
from evaluation.actions import paper, paper_reading, plan
from evaluation.actions.paper import Card
from evaluation.errors import MouilletteError
from evaluation.ground.markup import Html, template
from evaluation.sessions import Session

NAMED: Final = re.compile(r"\s*(\d{1,3}-\d{1,4})(?:\s*:\s*|\s+|$)(.*)", re.DOTALL)
HELP: Final = (
    "Type what stands on the card, question after question, with blanks between: a code as it is, the small "
    "number beside a box, y or n, and for a line the millimetres from its left end. A dot leaves a question "
    "blank, n is “not smelt”, s is “skip”. At the end, if the card says so: @10:42 for the time it was smelt, and "
    "# with a remark. Enter stores the line and shows the next card. A card’s number at the beginning, such as "
    "3-2, takes that card instead."
)
TABLE_HELP: Final = (
    "Or send a comma-separated table with the columns card, question and answer; panelist, codes and options may stand "
    "beside them. The table below has a line for every open question. One line that cannot be read, and "
    "nothing is stored."
)
_STYLE: Final = Html("""<style>
body main {max-width: 44rem; padding-top: 5vh;} dl {margin: 0 0 1rem;} dt {font-weight: 600;} dd {margin: 0 0 .4rem;}
.codes {font-size: 1.6rem; font-weight: 700; letter-spacing: .04em;} .done {font-weight: 600;}
body main input[name=line] {font-size: 1.4rem;} ol, ul {padding-left: 1.3rem;} h2 {font-size: 1.15rem;}
.cards a {display: inline-block; min-width: 3.2rem; min-height: 2rem; padding: .2rem .4rem;}
</style>""")
_WARNING: Final = template('<p class="warn" role="alert">{{ problem }}</p>')
_DONE: Final = template('<p class="done" role="status">{{ said }}</p>')
_BODY: Final = template(
    '<p><a href="/bench">Back to the bench</a></p>{{ message }}<p>{{ done }} of {{ all }} cards are typed in.</p>'
    "{{ card }}{{ still }}{{ sending }}"
)
_NOT_NOW: Final = template(
    "<p class=warn>Answers are typed in while a session is being smelt; this one is {{ state }}.</p>"
)
_NOTHING_OPEN: Final = Html("<p class=done>Nothing is open: every card that can be typed in is typed in.</p>")
_CARD: Final = template(
    "<h2>{{ card.alias }} · card {{ card.label }}</h2><p class=codes>{{ codes }}</p>"
    "<dl>{% for question, how in asked %}<dt>{{ question }}</dt><dd>{{ how }}</dd>{% endfor %}</dl>"
    "{% if card.waits %}<p>{{ card.alias }}: this card comes after the others.</p>{% endif %}"
    "{% if not card.open and not card.waits %}<p>This card is typed in already.</p>{% endif %}"
    "<form method=post action='/paper/{{ session_id }}'><input type=hidden name=card value='{{ card.label }}'>"
    "<label for=line>Card {{ card.label }}, then Enter</label>"
    "<input id=line name=line value='{{ line }}' autocomplete=off autocapitalize=off "
    "spellcheck=false autofocus required><button>Store</button></form><p class=quiet>{{ help }}</p>"
)
_STILL: Final = template(
    "<details><summary>Cards that are open ({{ still|length }})</summary><p class=cards>{% for card in still %}"
    "{% if not loop.first %} {% endif %}"
    "<a href='/paper/{{ session_id }}?card={{ card.label }}' title='{{ card.alias }}'>{{ card.label }}</a>"
    "{% endfor %}</p></details>"
)
_SENDING: Final = template(
    "<h2>As a table</h2><p>{{ help }}</p>"
    "<p><a href='/sheets/{{ session_id }}/answers' download>The table to fill in (CSV)</a></p>"
    "<form method=post action='/paper/{{ session_id }}/table' enctype='multipart/form-data'>"
    "<label for=table>Filled table (CSV, at most 2 MB)</label>"
    "<input id=table name=table type=file accept='.csv,text/csv' required>"
    "<button>Store the whole table</button></form>"
)


def page(here: House, session_id: str, label: str = "") -> Html:
    """The card asked for, else the first one that is open."""
    return _page(here, session_id, label)


def typed(here: House, session_id: str, label: str, line: str) -> Html:
    """What one typed line did, and the card that comes next."""
    named = NAMED.fullmatch(line)
    if named is not None:
        label, line = named[1], named[2]
    if named is not None and not line.strip():
        return _page(here, session_id, label)
    try:
        done = paper.enter(here.notebook, session_id, label, line)
    except MouilletteError as error:
        return _page(here, session_id, label, problem=str(error), line=line)
    complete = f" {done.card.alias} is finished." if done.finished else ""
    said = f"Card {done.card.label} of {done.card.alias} is stored: {_answers(done.answers)}.{complete}"
    return _page(here, session_id, "", said=said, after=done.card.label)


def table(here: House, session_id: str, content: bytes) -> Html:
    """What a table did."""
    try:
        count = paper.enter_table(here.notebook, session_id, content)
    except MouilletteError as error:
        return _page(here, session_id, "", problem=f"Nothing was stored. {_sentence(str(error))}")
    return _page(here, session_id, "", said=f"The table is stored: {_answers(count)}.")


def _answers(count: int) -> str:
    return f"{count} answer{'' if count == 1 else 's'}"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _page(
    here: House, session_id: str, label: str, *, problem: str = "", said: str = "", line: str = "", after: str = ""
) -> Html:
    session = plan.session(here.notebook, session_id)
    cards = paper.cards(here.notebook, session_id)
    still = [card for card in cards if card.open]
    card = next((one for one in cards if one.label == label), None) or _next(cards, after)
    body = _BODY(
        message=_message(problem, said),
        done=len(cards) - len(still),
        all=len(cards),
        card=_open_card(session, card, line),
        still=_STILL(still=still, session_id=session_id) if still else "",
        sending=_SENDING(help=TABLE_HELP, session_id=session_id),
    )
    return plain_pages.page(f"Answers from paper: {session.plan.title}", body, _STYLE)


def _message(problem: str, said: str) -> str:
    if problem:
        return _WARNING(problem=_sentence(problem))
    return _DONE(said=said) if said else ""


def _next(cards: Sequence[Card], after: str) -> Card | None:
    """The first open card after the one just typed, from the beginning again at the end."""
    labels = [card.label for card in cards]
    start = labels.index(after) + 1 if after in labels else 0
    return next((card for card in (*cards[start:], *cards[:start]) if card.open), None)


def _open_card(session: Session, card: Card | None, line: str) -> Html:
    if session.state != "smelling":
        return _NOT_NOW(state=session.state)
    if card is None:
        return _NOTHING_OPEN
    asked = [(_question(session, question.name), _sentence(paper_reading.how(question))) for question in card.open]
    codes = "  ".join(card.codes)
    return _CARD(card=card, codes=codes, asked=asked, session_id=session.id, line=line, help=HELP)


def _question(session: Session, name: str) -> str:
    return wording.ballot_question(session.plan.method, name, session.plan.descriptor)[0]
