"""How the ballot looks, and the few pieces of plain HTML it is built from: phone first, light and dark."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from parts import cut_off
from parts.palette import DARK, LIGHT

from evaluation.ground.markup import Html, template


def _both(name: str) -> str:
    """One colour of the palette, whichever scheme the browser asks for."""
    return f"light-dark({LIGHT[name]}, {DARK[name]})"


# Targets are 52 px: a thumb needs 44 (WCAG 2.5.5), the framework's own are 32. The framework's header, a quarter of a
# phone's screen, shrinks to nothing but keeps its sign for a lost connection.
STYLE: Final = f"""<style>
.stApp {{--ink: {_both("textColor")}; --ground: {_both("backgroundColor")}; --edge: {_both("grayTextColor")};
  --soft: {_both("secondaryBackgroundColor")}; --mark: {_both("primaryColor")}; --good: {_both("greenTextColor")};
  --told: {_both("orangeTextColor")}; --bad: {_both("redTextColor")};}}
[data-testid="stHeader"] {{background: none; height: 0; min-height: 0; overflow: visible;}}
[data-testid="stMainBlockContainer"] {{padding: 1rem 1rem 2rem; max-width: 34rem; font-size: 1rem;}}
[data-testid="stMainBlockContainer"] [data-testid="stVerticalBlock"] {{gap: .75rem;}}
.ballot-line {{margin: 0 0 .6rem; font-size: 1rem; line-height: 1.4; color: var(--ink);}}
.ballot-line b {{font-weight: 600;}}
.ballot-count {{display: flex; justify-content: space-between; gap: 1rem;}}
.ballot-ask {{margin: 0; padding: 0; font-size: 1.4rem; line-height: 1.3; font-weight: 600; outline: none;}}
.ballot-help {{margin: .35rem 0 0; font-size: 1rem; line-height: 1.45;}}
.ballot-tray {{margin: .75rem 0 0; font-size: 1.1rem; line-height: 1.5; color: var(--ink);}}
.ballot-tray b {{font-weight: 600; font-variant-numeric: tabular-nums; letter-spacing: .03em; white-space: nowrap;}}
.ballot-brief {{margin: .75rem 0 0; padding: .6rem .8rem; border-left: 3px solid var(--mark); background: var(--soft);
  font-size: 1rem; line-height: 1.45; white-space: pre-line; overflow-wrap: anywhere;}}
.ballot-stored {{color: var(--good); font-weight: 600;}}
.ballot-told {{margin: 0 0 .75rem; padding: .6rem .8rem; border: 1px solid var(--told); border-radius: .5rem;
  font-size: 1rem; line-height: 1.4; color: var(--told);}}
.ballot-aid {{padding: 1rem; border: 3px solid var(--bad); border-radius: .5rem; color: var(--ink);}}
.ballot-aid h1 {{color: var(--bad);}}
.ballot-aid ol {{margin: .75rem 0 0; padding-left: 1.5rem; list-style: decimal outside;}}
.ballot-aid li {{margin: 0 0 .6rem; font-size: 1.15rem; line-height: 1.45;}}
.ballot-text {{font-size: 1.05rem; line-height: 1.5;}}
.ballot-text h1 {{font-size: 1.5rem; line-height: 1.3; margin: 0 0 .5rem; padding: 0;}}
.ballot-text p {{margin: 0 0 .6rem; font-size: 1.05rem;}}
.ballot-text h2 {{font-size: 1.15rem; line-height: 1.3; margin: .2rem 0 .35rem; padding: 0;}}
.ballot-text ul, .ballot-text ol {{margin: 0 0 .6rem; padding-left: 1.4rem; list-style: disc outside;}}
.ballot-text ol {{list-style: decimal outside;}}
.ballot-text li {{margin: 0 0 .35rem; font-size: 1.05rem; line-height: 1.4;}}
.ballot-how {{margin: .5rem 0 0; padding-left: .6rem; border-left: 3px solid var(--edge); font-size: 1rem;
  line-height: 1.4; color: var(--ink);}}
.ballot-text a {{display: inline-block; padding: .7rem 0; color: var(--mark); text-decoration: underline;}}
.ballot-lost {{position: fixed; z-index: 9; left: 0; right: 0; bottom: 0; margin: 0; padding: .8rem 1rem;
  font-size: 1rem; line-height: 1.4; color: var(--ground); background: var(--ink);}}
.ballot-unseen {{position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%);
  white-space: nowrap;}}
.st-key-ballot-later, .st-key-ballot-again {{display: none;}}
{cut_off.HIDDEN}
[data-testid="stMain"] [data-testid="stButtonGroup"] [data-variant] {{min-height: 52px; flex: 1 1 0;
  border-color: var(--edge); touch-action: manipulation;}}
[data-testid="stMain"] [data-testid="stButtonGroup"] [data-variant] p {{font-size: 1.3rem; font-weight: 600;
  font-variant-numeric: tabular-nums;}}
[data-testid="stMain"] [data-variant][aria-checked="true"],
[data-testid="stMain"] [data-variant][aria-pressed="true"] {{background: var(--mark) !important;
  border-color: var(--ground) !important; color: var(--ground) !important;}}
[data-testid="stMain"] [data-testid="stButtonGroup"] [data-variant] p {{color: inherit;}}
[data-testid="stRadioGroup"] {{gap: .5rem; width: 100%;}}
[data-testid="stRadioGroup"] > div, [data-testid="stRadio"] {{width: 100%;}}
[data-testid="stRadioOption"] {{min-height: 52px; width: 100%; margin: 0; padding: .5rem .9rem; align-items: center;
  border: 1px solid var(--edge); border-radius: .5rem; touch-action: manipulation; cursor: pointer;}}
[data-testid="stRadioOption"] p {{font-size: 1.1rem; font-variant-numeric: tabular-nums;}}
[data-testid="stRadioOption"]:not(:has(input:checked)) span + div > div:first-child {{
  box-shadow: 0 0 0 1px var(--edge);}}
[data-testid="stRadioOption"]:has(input:checked) {{border: 2px solid var(--mark); background: var(--soft);}}
[data-testid="stMain"] [data-testid="stButton"] button {{min-height: 52px; touch-action: manipulation;}}
[data-testid="stMain"] [data-testid="stButton"] button p {{font-size: 1.1rem;}}
[data-testid="stMain"] [data-testid="stBaseButton-primary"]:not(:disabled) {{background: var(--mark);
  color: var(--ground);}}
[data-testid="stMain"] [data-testid="stBaseButton-tertiary"] p {{text-decoration: underline;
  text-underline-offset: .2em;}}
[data-testid="stMain"] [data-testid="stButton"] button:disabled {{opacity: 1; background: none; color: var(--ink);
  border: 1px dashed var(--edge);}}
[data-testid="stTextArea"] textarea, [data-testid="stWidgetLabel"] p {{font-size: 1rem;}}
[data-testid="InputInstructions"] {{color: var(--edge); font-size: 1rem;}}
[data-testid="stMain"] :is(button, textarea, summary, a):focus-visible,
[data-testid="stRadioOption"]:has(input:focus-visible) {{outline: 3px solid var(--mark); outline-offset: 2px;
  box-shadow: none;}}
</style>"""

# A live region must be on the page before its text changes, else screen readers stay silent: this one is drawn once.
LIVE_REGION: Final = Html(
    '<div id="ballot-live" class="ballot-unseen" role="status" aria-live="polite" aria-atomic="true"></div>'
)

_LOST: Final = template('<p id="ballot-lost" class="ballot-lost" role="status" hidden>{{ text }}</p>')
_MARK: Final = template('<span id="ballot-mark" data-mark="{{ mark }}" hidden></span>')
_LINE: Final = template('<p class="ballot-line"><b>{{ strong }}</b> · {{ rest }}</p>')
_COUNT: Final = template(
    '<p class="ballot-line ballot-count"><span>{{ text }}</span>'
    '{% if stored %}<span class="ballot-stored">{{ stored }}</span>{% endif %}</p>'
)
_TOLD: Final = template('<p class="ballot-told">{{ text }}</p>')
_PICKED: Final = template('<p class="ballot-line" role="status">{{ text }}</p>')
_HELP: Final = template('<p class="ballot-help">{{ text }}</p>')
_FIRST_AID: Final = template(
    '<div class="ballot-aid" role="alert">{{ heading }}<ol>{% for line in lines %}<li>{{ line }}</li>{% endfor %}'
    "</ol></div>"
)
_ASK: Final = template('<h1 class="ballot-ask" id="ballot-ask" tabindex="-1">{{ text }}</h1>{{ below }}')
_TRAY: Final = template(
    '<p class="ballot-tray">{{ title }}: {% for code in codes %}{{ " · " if not loop.first else "" }}<b>{{ code }}</b>'
    "{% if loop.first and reference %} ({{ reference }}){% endif %}{% endfor %}</p>"
)
_BRIEF: Final = template('<p class="ballot-brief"><b>{{ title }}</b>\n{{ text }}</p>')
_REMINDER: Final = template('<p class="ballot-how">{{ text }}</p>')
_STEPS: Final = template(
    '<div class="ballot-text"><h2>{{ title }}</h2><ol>{% for line in lines %}<li>{{ line }}</li>{% endfor %}</ol></div>'
)
_TEXT_PAGE: Final = template(
    '<div class="ballot-text"><h1>{{ title }}</h1>{% for one in paragraphs %}<p>{{ one }}</p>{% endfor %}'
    "{% if points %}{% if heading %}<h2>{{ heading }}</h2>{% endif %}"
    "<ul>{% for one in points %}<li>{{ one }}</li>{% endfor %}</ul>{% endif %}"
    '{% if link[0] %}<p><a href="{{ link[0] }}" target="_self">{{ link[1] }}</a></p>{% endif %}</div>'
)


def lost(text: str) -> Html:
    """The line over the foot of the page that the watch shows while the connection is down."""
    return _LOST(text=text)


def mark(name: str) -> Html:
    """What this question of this ballot is known by in the phone’s own memory."""
    return _MARK(mark=name)


def line(strong: str, rest: str) -> Html:
    """The small line above a question of a set."""
    return _LINE(strong=strong, rest=rest)


def count(text: str, stored: str = "") -> Html:
    """How far the ballot is, and at the other end of the line that the last answer is stored."""
    return _COUNT(text=text, stored=stored)


def refusal(text: str) -> Html:
    """Why the last answer was not stored."""
    return _TOLD(text=text)


def picked(text: str) -> Html:
    """How many are still to pick, below a question that takes several."""
    return _PICKED(text=text)


def smaller(text: str) -> Html:
    """The smaller line below a question."""
    return _HELP(text=text)


def first_aid(title: str, lines: Sequence[str]) -> Html:
    """What to do now, in large words and in order; its heading takes the focus like a question’s."""
    return _FIRST_AID(heading=question(title), lines=lines)


def question(text: str, below: str = "") -> Html:
    """The question, as the heading the focus moves to, and the smaller line below it."""
    return _ASK(text=text, below=smaller(below) if below else "")


def tray(title: str, codes: Sequence[str], reference: str = "") -> Html:
    """The codes in tray order, in one plain line that invites no tap; ``reference`` names the first one."""
    return _TRAY(title=title, codes=codes, reference=reference)


def brief(title: str, text: str) -> Html:
    """The brief's own words."""
    return _BRIEF(title=title, text=text)


def reminder(text: str) -> Html:
    """The one line on how to smell."""
    return _REMINDER(text=text)


def steps(title: str, lines: Sequence[str]) -> Html:
    """What to do, step by step, under a heading."""
    return _STEPS(title=title, lines=lines)


def text_page(
    title: str,
    paragraphs: Sequence[str],
    points: Sequence[str] = (),
    link: tuple[str, str] = ("", ""),
    heading: str = "",
) -> Html:
    """A screen of words only: welcome, waiting, thanks. ``heading`` stands over the points."""
    return _TEXT_PAGE(title=title, paragraphs=paragraphs, points=points, link=link, heading=heading)
