"""The small plain pages at the doors: no script, nothing fetched, readable on a phone in light and dark."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from parts.palette import DARK, LIGHT

from evaluation.ground.markup import Html, joined, template

_COLOURS: Final = (
    ("paper", "backgroundColor"),
    ("ink", "textColor"),
    ("quiet", "grayTextColor"),
    ("edge", "borderColor"),
    ("accent", "primaryColor"),
    ("warn", "redTextColor"),
)


def _colours(scheme: Mapping[str, str]) -> Html:
    return Html("{ " + " ".join(f"--{name}: {scheme[key]};" for name, key in _COLOURS) + " }")


_LIGHT, _DARK = _colours(LIGHT), _colours(DARK)
_PAGE: Final = template(
    """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">{{ head }}<title>{{ title }}</title>
<style>
:root {{ light }}
@media (prefers-color-scheme: dark) {
  :root {{ dark }}
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 1.0625rem/1.5 system-ui, sans-serif; }
main { max-width: 26rem; margin: 0 auto; padding: 12vh 1.25rem 2rem; }
h1 { font: 600 1.5rem/1.25 system-ui, sans-serif; margin: 0 0 1rem; }
p { margin: 0 0 1rem; } .quiet { color: var(--quiet); } form + p { margin-top: 1.25rem; }
.warn { color: var(--warn); font-weight: 600; }
label { display: block; margin: 0 0 .25rem; }
input { width: 100%; min-height: 2.75rem; margin: 0 0 1rem; padding: .5rem .75rem; font: inherit; color: inherit;
  background: transparent; border: 1px solid var(--quiet); border-radius: .25rem; }
button, a.button { display: block; width: 100%; min-height: 2.75rem; padding: .5rem 1rem; font: inherit;
  font-weight: 600; text-align: center; text-decoration: none; color: var(--paper); background: var(--accent);
  border: 0; border-radius: .25rem; cursor: pointer; }
a { color: var(--accent); } :focus-visible { outline: 3px solid var(--accent); outline-offset: 2px; }
</style></head><body><main><h1>{{ title }}</h1>{{ body }}</main></body></html>"""
)
_WARNING: Final = template("<p class='warn' role='alert'>{{ problem }}</p>")
_FIELD: Final = template(
    "<label for='{{ name }}'>{{ label }}</label>"
    "<input id='{{ name }}' name='{{ name }}' type='{{ kind }}' autocomplete='{{ completes }}' required>"
)
_FORM: Final = template("<form method='post' action='{{ action }}'>{{ fields }}<button>{{ button }}</button></form>")
_TO_JOIN: Final = template(
    "<p>This browser is the conductor's. Opening the ballot here signs the conductor out. {{ back }}</p>"
    "{{ form }}<p><a href='/'>Stay the conductor</a></p>"
)
_AT_ONCE: Final = template('<meta http-equiv="refresh" content="0;url={{ path }}">')
_BALLOT: Final = template("<a class='button' href='{{ path }}'>Open my ballot</a>")
_LEAVE: Final = template("<p>This ends the visit in this browser.</p>{{ form }}<p><a href='/'>Stay</a></p>")
_SENTENCE: Final = template("<p>{{ text }}</p><p><a href='/'>Go to the start</a></p>")
_SHUT_OUT: Final = Html("<p class='quiet'>Forgotten, or shut out? <a href='/let-in'>Come in with a code</a>.</p>")
_HOW_TO_GET_ONE: Final = Html(
    "<p>On the computer Mouillette runs on, <code>python -m evaluation passphrase</code> asks for another passphrase "
    "and prints a code; with <code>--only-code</code> the passphrase stays. The app may run on.</p>"
)
_CHANGING: Final = Html(
    "<p>Every other browser that is signed in as the conductor is signed out. Links of panelists stay.</p>"
)
_BACK: Final = Html("<p><a href='/'>Leave it as it is</a></p>")
_INVITED: Final = Html("<p class='quiet'>Invited to smell? Open the link you were given instead.</p>")
_NONE_YET: Final = Html(
    "<p>No passphrase has been chosen yet.</p><a class='button' href='/first-passphrase'>Choose one</a>"
)
_CHOOSING: Final = Html(
    "<p>Whoever knows it can open every conductor page. At least 8 characters; a few words are easiest to keep.</p>"
)


def page(title: str, body: Html, head: str = "") -> Html:
    """A whole page; ``body`` and ``head`` are made by templates."""
    return _PAGE(
        title=title,
        body=body,
        head=head,
        light=_LIGHT,
        dark=_DARK,
    )


def sign_in(problem: str = "") -> Html:
    """Where the conductor signs in; ``problem`` says why the last try was refused."""
    form = _form("/sign-in", _field("passphrase", "Passphrase", "current-password"), "Sign in")
    return page("Sign in", joined((_warning(problem), form, _SHUT_OUT, _INVITED)))


def let_in(problem: str = "") -> Html:
    """Coming in with the code that the command on the machine itself printed."""
    form = _form("/let-in", _field("code", "Code from the terminal", "one-time-code", "text"), "Come in")
    return page("Come in with a code", joined((_warning(problem), _HOW_TO_GET_ONE, form)))


def another_passphrase(problem: str = "") -> Html:
    """Changing the passphrase, for whoever is signed in and knows the one in force."""
    fields = _field("current", "Passphrase as it is now", "current-password")
    fields += _field("passphrase", "New passphrase", "new-password") + _field("again", "Once more", "new-password")
    form = _form("/passphrase", fields, "Change it")
    return page("Change the passphrase", joined((_warning(problem), _CHANGING, form, _BACK)))


def no_passphrase_yet() -> Html:
    """Shown at the sign-in door while there is nothing to sign in with."""
    return page("Sign in", _NONE_YET)


def first_passphrase(code: bool, problem: str = "") -> Html:
    """Choosing the first passphrase; ``code`` asks for the one the terminal printed."""
    fields = _field("passphrase", "New passphrase", "new-password") + _field("again", "Once more", "new-password")
    if code:
        fields += _field("code", "Set-up code, printed where Mouillette was started", "one-time-code", "text")
    form = _form("/first-passphrase", fields, "Keep it")
    return page("Choose a passphrase", joined((_warning(problem), _CHOOSING, form)))


def ask_before_joining(path: str, passphrase: bool) -> Html:
    """A conductor opened a panelist's link: one browser cannot be both."""
    back = "The passphrase lets the conductor back in." if passphrase else "To come back you then choose a passphrase."
    form = _form(path, "", "Sign out and open the ballot")
    return page("Open this ballot here?", _TO_JOIN(back=back, form=form))


def hop(path: str, at_once: bool) -> Html:
    """A link followed from another site: our own next request carries this browser's cookies, the first did not.

    Where hopping once did not help, a tap does; a page elsewhere that links to the address after the hop gains nothing.
    """
    return page("Opening", _BALLOT(path=path), _AT_ONCE(path=path) if at_once else "")


def leave() -> Html:
    """Ending the visit of this browser."""
    return page("Sign out?", _LEAVE(form=_form("/leave", "", "Sign out")))


def sentence(title: str, text: str) -> Html:
    """A page that says one thing."""
    return page(title, _SENTENCE(text=text))


def _warning(problem: str) -> str:
    return _WARNING(problem=problem) if problem else ""


def _field(name: str, label: str, completes: str, kind: str = "password") -> Html:
    return _FIELD(name=name, label=label, completes=completes, kind=kind)


def _form(action: str, fields: str, button: str) -> Html:
    return _FORM(action=action, fields=fields, button=button)
