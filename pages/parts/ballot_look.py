"""How the ballot looks, and the few pieces of plain HTML it is built from: phone first, light and dark."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Final

from parts.palette import DARK, LIGHT


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
LIVE_REGION: Final = (
    '<div id="ballot-live" class="ballot-unseen" role="status" aria-live="polite" aria-atomic="true"></div>'
)


def lost(text: str) -> str:
    """The line over the foot of the page that the watch shows while the connection is down."""
    return f'<p id="ballot-lost" class="ballot-lost" role="status" hidden>{escape(text)}</p>'


def line(strong: str, rest: str) -> str:
    """The small line above a question of a set."""
    return f'<p class="ballot-line"><b>{escape(strong)}</b> · {escape(rest)}</p>'


def count(text: str, stored: str = "") -> str:
    """How far the ballot is, and at the other end of the line that the last answer is stored."""
    return f'<p class="ballot-line ballot-count"><span>{escape(text)}</span>{_stored(stored)}</p>'


def _stored(text: str) -> str:
    return f'<span class="ballot-stored">{escape(text)}</span>' if text else ""


def told(text: str) -> str:
    """Why the last answer was not stored."""
    return f'<p class="ballot-told">{escape(text)}</p>'


def first_aid(title: str, lines: Sequence[str]) -> str:
    """What to do now, in large words and in order; its heading takes the focus like a question’s."""
    listed = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f'<div class="ballot-aid" role="alert">{ask(title)}<ol>{listed}</ol></div>'


def ask(text: str, below: str = "") -> str:
    """The question, as the heading the focus moves to, and the smaller line below it."""
    help_line = f'<p class="ballot-help">{escape(below)}</p>' if below else ""
    return f'<h1 class="ballot-ask" id="ballot-ask" tabindex="-1">{escape(text)}</h1>{help_line}'


def tray(title: str, codes: Sequence[str], reference: str = "") -> str:
    """The codes in tray order, in one plain line that invites no tap; ``reference`` names the first one."""
    first = f" ({escape(reference)})" if reference else ""
    named = (f"<b>{escape(code)}</b>{first if at == 0 else ''}" for at, code in enumerate(codes))
    return f'<p class="ballot-tray">{escape(title)}: {" · ".join(named)}</p>'


def brief(title: str, text: str) -> str:
    """The brief's own words."""
    return f'<p class="ballot-brief"><b>{escape(title)}</b>\n{escape(text)}</p>'


def reminder(text: str) -> str:
    """The one line on how to smell."""
    return f'<p class="ballot-how">{escape(text)}</p>'


def steps(title: str, lines: Sequence[str]) -> str:
    """What to do, step by step, under a heading."""
    listed = "".join(f"<li>{escape(one)}</li>" for one in lines)
    return f'<div class="ballot-text"><h2>{escape(title)}</h2><ol>{listed}</ol></div>'


def text_page(
    title: str,
    paragraphs: Sequence[str],
    points: Sequence[str] = (),
    link: tuple[str, str] = ("", ""),
    heading: str = "",
) -> str:
    """A screen of words only: welcome, waiting, thanks. ``heading`` stands over the points."""
    body = "".join(f"<p>{escape(one)}</p>" for one in paragraphs)
    listed = "".join(f"<li>{escape(one)}</li>" for one in points)
    over = f"<h2>{escape(heading)}</h2>" if heading else ""
    list_html = f"{over}<ul>{listed}</ul>" if listed else ""
    way = f'<p><a href="{escape(link[0])}" target="_self">{escape(link[1])}</a></p>' if link[0] else ""
    return f'<div class="ballot-text"><h1>{escape(title)}</h1>{body}{list_html}{way}</div>'
