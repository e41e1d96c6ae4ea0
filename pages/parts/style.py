"""The one style sheet over the framework's own look: less empty header, readable captions, targets for thumbs."""

from __future__ import annotations

from string import Template
from typing import Final

import streamlit as st
from parts.palette import DARK, LIGHT

_SHEET: Final = Template(
    """<style>
:root { --mou-quiet: $quiet; --mou-ground: $ground; }
@media (prefers-color-scheme: dark) { :root { --mou-quiet: $dquiet; --mou-ground: $dground; }
  button[kind="primary"]:not(:disabled), button[kind="primary"]:not(:disabled) *,
  [data-tag], [data-tag] * { color: $dground; } }
#MainMenu, [data-testid="stMainMenu"], [data-testid="stAppDeployButton"],
[data-testid="stStatusWidget"] { display: none; }
[data-testid="stHeader"] { height: 2.75rem; min-height: 2.75rem; background: transparent; }
[data-testid="stMainBlockContainer"] { padding-top: $top; padding-bottom: 3rem; }
[data-testid="stCaptionContainer"], [data-testid="stCaptionContainer"] * { color: var(--mou-quiet); opacity: 1; }
[data-testid="stHtml"] a { color: inherit; }
[data-testid="stMarkdownContainer"] blockquote { color: var(--mou-quiet); }
button[data-testid^="stBaseButton"] { min-height: 2.75rem; }
[data-testid="stMain"] button[data-testid^="stBaseButton"]:disabled { color: var(--mou-quiet); opacity: 1;
  border: 1px dashed var(--mou-quiet); }
@media (max-width: 48rem) { [data-testid="stHeader"] { background: var(--mou-ground); } }
@media (max-width: 30rem) { [data-testid="stTabs"] [role="tablist"] { gap: .45rem; } }
$more</style>"""
)
_NO_HEADER: Final = '[data-testid="stHeader"] { display: none; }'


def apply(bare: bool) -> None:
    """Put the style sheet on the page; ``bare`` leaves the header out, for ballots."""
    st.html(
        _SHEET.substitute(
            quiet=LIGHT["grayTextColor"],
            dquiet=DARK["grayTextColor"],
            ground=LIGHT["backgroundColor"],
            dground=DARK["backgroundColor"],  # the framework writes white on any accent, also on a light one
            top="1rem" if bare else "2.5rem",
            more=_NO_HEADER if bare else "",
        )
    )
