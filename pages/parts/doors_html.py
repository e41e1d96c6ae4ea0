"""The small plain pages at the doors: no script, nothing fetched, readable on a phone in light and dark."""

from __future__ import annotations

from html import escape
from string import Template
from typing import Final

from parts.palette import DARK, LIGHT

_PAGE: Final = Template(
    """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">$head<title>$title</title>
<style>
:root { --paper: $paper; --ink: $ink; --quiet: $quiet; --edge: $edge; --accent: $accent; --warn: $warn; }
@media (prefers-color-scheme: dark) {
  :root { --paper: $dpaper; --ink: $dink; --quiet: $dquiet; --edge: $dedge; --accent: $daccent; --warn: $dwarn; }
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
</style></head><body><main><h1>$title</h1>$body</main></body></html>"""
)


def page(title: str, body: str, head: str = "") -> str:
    """A whole page; ``body`` and ``head`` are HTML already."""
    return _PAGE.substitute(
        title=escape(title),
        body=body,
        head=head,
        paper=LIGHT["backgroundColor"],
        ink=LIGHT["textColor"],
        quiet=LIGHT["grayTextColor"],
        edge=LIGHT["borderColor"],
        accent=LIGHT["primaryColor"],
        warn=LIGHT["redTextColor"],
        dpaper=DARK["backgroundColor"],
        dink=DARK["textColor"],
        dquiet=DARK["grayTextColor"],
        dedge=DARK["borderColor"],
        daccent=DARK["primaryColor"],
        dwarn=DARK["redTextColor"],
    )


def sign_in(problem: str = "") -> str:
    """The conductor's door."""
    form = _form("/sign-in", _field("passphrase", "Passphrase", "current-password"), "Sign in")
    note = "<p class='quiet'>Invited to smell? Open the link you were given instead.</p>"
    return page("Sign in", _warning(problem) + form + note)


def no_passphrase_yet() -> str:
    """Shown at the sign-in door while there is nothing to sign in with."""
    body = "<p>No passphrase has been chosen yet.</p><a class='button' href='/first-passphrase'>Choose one</a>"
    return page("Sign in", body)


def first_passphrase(code: bool, problem: str = "") -> str:
    """Choosing the first passphrase; ``code`` asks for the one the terminal printed."""
    told = (
        "<p>Whoever knows it can open every conductor page. At least 8 characters; a few words are easiest to keep.</p>"
    )
    fields = _field("passphrase", "New passphrase", "new-password") + _field("again", "Once more", "new-password")
    if code:
        fields += _field("code", "Set-up code, printed where Mouillette was started", "one-time-code", "text")
    return page("Choose a passphrase", _warning(problem) + told + _form("/first-passphrase", fields, "Keep it"))


def ask_before_joining(path: str, passphrase: bool) -> str:
    """A conductor opened a panelist's link: one browser cannot be both."""
    back = "The passphrase lets the conductor back in." if passphrase else "To come back you then choose a passphrase."
    told = f"<p>This browser is the conductor's. Opening the ballot here signs the conductor out. {back}</p>"
    stay = "<p><a href='/'>Stay the conductor</a></p>"
    return page("Open this ballot here?", told + _form(path, "", "Sign out and open the ballot") + stay)


def hop(path: str, at_once: bool) -> str:
    """A link followed from another site: our own next request carries this browser's cookies, the first did not.

    Where hopping once did not help, a tap does; a page elsewhere that links to the address after the hop gains nothing.
    """
    head = f'<meta http-equiv="refresh" content="0;url={escape(path)}">' if at_once else ""
    return page("Opening", f"<a class='button' href='{escape(path)}'>Open my ballot</a>", head)


def leave() -> str:
    """Ending the visit of this browser."""
    stay = "<p><a href='/'>Stay</a></p>"
    return page("Sign out?", "<p>This ends the visit in this browser.</p>" + _form("/leave", "", "Sign out") + stay)


def sentence(title: str, text: str) -> str:
    """A page that says one thing."""
    return page(title, f"<p>{escape(text)}</p><p><a href='/'>Go to the start</a></p>")


def _warning(problem: str) -> str:
    return f"<p class='warn' role='alert'>{escape(problem)}</p>" if problem else ""


def _field(name: str, label: str, completes: str, kind: str = "password") -> str:
    return (
        f"<label for='{name}'>{escape(label)}</label>"
        f"<input id='{name}' name='{name}' type='{kind}' autocomplete='{completes}' required>"
    )


def _form(action: str, fields: str, button: str) -> str:
    return f"<form method='post' action='{escape(action)}'>{fields}<button>{escape(button)}</button></form>"
