"""What was sealed, in words and as a hash, and whether the record still stands as it was written."""

from __future__ import annotations

import streamlit as st
from parts import bench_choose, bench_rows, frame

from evaluation import wording, wording_draws, wording_sizes
from evaluation.actions.opened import Context
from evaluation.sessions import SKIN, STRIP, STRIPS, Plan
from evaluation.trials import trial_name


def show(found: Context) -> None:
    """The sealed plan and its hash; the log's last hash and whether the chain holds."""
    stands(plan_words(found.session.plan, found.names), found)


def stands(lines: tuple[str, ...], found: Context) -> None:
    """A sealed plan in ``lines``, of any method, and whether the record stands."""
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))
    seal = f'Sealed with the hash <span class="mo-hash">{found.session.sealed_hash}</span>'
    last = f'Last hash of the log <span class="mo-hash">{found.last_hash}</span>'
    st.html(f"{bench_rows.STYLE}<p>{seal}</p><p>{last}</p>")
    if found.log_holds:
        st.markdown("The log was checked just now: every line stands as it was written.")
    else:
        st.error(
            "The log does not stand as it was written: something was changed behind it. Do not rely on this verdict."
        )


def plan_words(plan: Plan, labels: tuple[str, ...]) -> tuple[str, ...]:
    """The sealed plan, one sentence a line."""
    lines = [
        f"{wording.method_name(plan.method)}: {wording.method_sentence(plan.method)}",
        f"First trial {labels[0]}, second trial {labels[1]}, {_MEDIA[plan.medium]}, {STRIPS[plan.method]} a set.",
        *_ages(plan),
        f"{_people(plan)}, {_times(plan.replicates)} at each age.",
        *wording_sizes.risk_lines(plan),
        wording_draws.sealed_line(plan),
        f"These leave the main analysis: {', '.join(plan.set_apart)}.",
    ]
    if plan.descriptor:
        lines.insert(1, f"Asked for more {plan.descriptor}; {_expected(plan, labels)} was expected to show more of it.")
    if plan.method == "preference":
        lines.append(
            f"No preference {'could' if plan.ties_allowed else 'could not'} be chosen; {_TIES[plan.ties_rule]}"
        )
    if plan.null_sets:
        lines.append(f"Null sets, in which one trial was served as if it were two: {plan.null_sets} each.")
    if plan.look_every:
        every = "answer" if plan.look_every == 1 else f"{plan.look_every} answers"
        lines.append(f"Looked at after every {every}, to stop as soon as the sealed rule allows.")
    if plan.method != "preference":
        lines.append(f"Prior of the second opinion, never of the verdict: {plan.prior}.")
    if plan.confirmed:
        lines.append(f"Confirmed before sealing that this cannot be the verdict: {', '.join(plan.confirmed)}.")
    return tuple(lines)


_MEDIA = {STRIP: "on strips", SKIN: "on skin", "strip and skin": "on strips and on skin, each judged by itself"}


def _ages(plan: Plan) -> list[str]:
    told = [f"Strip age {bench_choose.ages(plan)}."] if STRIP in plan.media else []
    return [*told, f"On skin {bench_choose.skin_times(plan)} after application."] if SKIN in plan.media else told


_TIES = {
    "drop": "such answers are left out of the test.",
    "split": "such answers are shared between both trials, an odd one against the leader.",
}


def _people(plan: Plan) -> str:
    if plan.solo:
        return "One person, who prepared and smelt"
    return "1 person" if plan.people == 1 else f"{plan.people} people"


def _times(replicates: int) -> str:
    return "one set each" if replicates == 1 else f"{replicates} sets each"


def _expected(plan: Plan, labels: tuple[str, ...]) -> str:
    return trial_name(labels[0] if plan.expected == "first" else labels[1])
