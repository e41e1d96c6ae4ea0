"""HTML from templates that escape by themselves: what is put into a hole is text, unless a template made it.

A forgotten escape cannot happen: nobody writes one. Text that is HTML already has a type of its own, :class:`Html`, and
only templates and constants of this project have it; adding plain text to it escapes the text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from html import escape

from jinja2 import Environment, StrictUndefined, Template
from markupsafe import Markup as Html

__all__ = ["Html", "joined", "template"]


def _put_in(value: object) -> Html:
    """What a hole takes: HTML as it is, anything else as text. Spelt as the standard library spells it."""
    return value if isinstance(value, Html) else Html(escape(str(value)))


_HOUSE = Environment(autoescape=True, undefined=StrictUndefined, finalize=_put_in, keep_trailing_newline=True)


@cache
def _compiled(source: str) -> Template:
    return _HOUSE.from_string(source)


def template(source: str) -> Callable[..., Html]:
    """A template with holes ``{{ name }}``, called with a value for each; compiled when it is first called.

    A hole without a value is an error. Holes stand between tags and inside quoted attributes only: elsewhere, in a
    script, a style or an attribute without quotes, escaping promises nothing.
    """
    return lambda **holes: Html(_compiled(source).render(**holes))


def joined(pieces: Iterable[str]) -> Html:
    """Pieces of HTML one after the other; a piece of plain text among them is escaped."""
    return Html("".join(map(_put_in, pieces)))
