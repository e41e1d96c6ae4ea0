"""What was sealed, in words and as a hash, and whether the record still stands as it was written."""

from __future__ import annotations

import streamlit as st
from parts import frame, small_tables

from evaluation.actions.opened import Context
from evaluation.wording import of_sealed_plans


def show_seal(about: Context) -> None:
    """The sealed plan, of any kind, and its hash; the log's last hash and whether the chain holds."""
    lines = of_sealed_plans.plan_lines(about.session.plan, about.names)
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))
    seal = f'Sealed with the hash <span class="mo-hash">{about.session.sealed_hash}</span>'
    last = f'Last hash of the log <span class="mo-hash">{about.last_hash}</span>'
    st.html(f"{small_tables.STYLE}<p>{seal}</p><p>{last}</p>")
    if about.log_holds:
        st.markdown("The log was checked just now: every line stands as it was written.")
    else:
        st.error(
            "The log does not stand as it was written: something was changed behind it. Do not rely on this verdict."
        )
