"""The views of a profile: curves, the map, one age against the brief, strength, words and levels, people, numbers."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, Final

import pandas as pd
import streamlit as st
from parts import frame, small_tables
from parts.findings import profile_charts, profile_downloads

from evaluation.actions.profile_findings import ProfileFindings
from evaluation.counting.profiles import MIDDLE, ProfileFound
from evaluation.kinds import Profile
from evaluation.kinds.separation import together
from evaluation.tables import effects_told, results
from evaluation.values.scales import POINTS
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_profiles
from evaluation.wording.of_profiles import age_words

said = small_tables.as_html
drawn = profile_charts

OVER_AGES: Final = "Over the ages"
EFFECTS: Final = "Effects"
MOVED: Final = "What moved"
AT_ONE_AGE: Final = "At one age"
STRENGTH: Final = "Strength"
WORDS: Final = "Words and levels"
PEOPLE: Final = "People"
NUMBERS: Final = "Numbers"
EVERY_EFFECT: Final = "Every number"
SYMBOLS: Final = ("p ", "F ", "df ")  # heads of columns that stay as statistics write them


def show_chosen_view(found: ProfileFindings, part: ProfileFound) -> None:
    """One view of one medium, the first one until another is chosen."""
    offered = [name for name, (there, _) in VIEWS.items() if there(part)]
    if not offered:
        st.info("Nobody's ratings came in that count.")
        return
    chosen = st.segmented_control("Show", offered, default=offered[0], key=f"view {part.medium}", required=True)
    VIEWS[chosen if chosen in offered else offered[0]][1](found, part)


# --- effects of separated changes ---------------------------------------------------------------------------------


def _effects(found: ProfileFindings, part: ProfileFound) -> None:
    words = part.words(POINTS)
    word = st.selectbox("Descriptor", words, key=f"effect on {part.medium}")
    chart = drawn.effects(part, word, dark=_dark())
    if chart is None:
        st.info("Nobody rated this.")
    else:
        _draw(chart)
        st.caption(
            f"Each panel: what one change does to {frame.plain(word)} over the dry-down, in points. Full mark: the "
            f"family shows it. Ring: not shown, which is not “nothing”. Cross: described only. Bar: {_level(part)} "
            "interval by itself."
        )
        _saved(found, part, f"effect-{words.index(word)}")
    with st.expander("Which bottle held what"):
        _frame(effects_told.bottles_table(part))


def _every_effect(found: ProfileFindings, part: ProfileFound) -> None:
    assert part.effects is not None
    for effect in dict.fromkeys(part.effects.table["effect"]):
        st.markdown(f"**{frame.plain(sentence_case(together(effect)))}**")
        _frame(effects_told.effects_of(part, effect))


# --- curves -------------------------------------------------------------------------------------------------------


def _over_ages(found: ProfileFindings, part: ProfileFound) -> None:
    with frame.row():
        word = st.selectbox("Descriptor", part.words(POINTS), key=f"word {part.medium}")
        time = st.segmented_control("Time", ("log", "linear"), default="log", key=f"time {part.medium}", required=True)
    chart = drawn.over_ages(part, word, time or "log", dark=_dark())
    if chart is None:
        st.info("Nobody rated this.")
        return
    _draw(chart)
    st.caption(
        f"Large marks: means over people with their {_level(part)} intervals (from 6 people on); small marks: each "
        "person. Lines join ages that were smelt; what lies between was not."
    )
    _saved(found, part, f"curve-{part.words(POINTS).index(word)}")


def _moved(found: ProfileFindings, part: ProfileFound) -> None:
    pairs = list(part.differences.pairs) if part.differences else []
    pair = pairs[0]
    if len(pairs) > 1:
        pair = st.selectbox(
            "Trials", pairs, format_func=lambda one: sentence_case(trial_name(*one)), key=f"pair {part.medium}"
        )
    chart = drawn.moved(part, pair, dark=_dark())
    if chart is None:
        st.info("Nobody rated both trials.")
        return
    _draw(chart)
    st.caption(
        f"Size of a disc: size of the difference. Blue: {trial_name(pair[1])} has more than {trial_name(pair[0])}; "
        "orange: less; the number says which, in points. A ring and full colour: the family shows it. Pale: not shown, "
        "which is not “the same”. A cross: fewer than 6 people, described only."
    )
    _saved(found, part, f"map-{pairs.index(pair)}")
    with st.expander("The numbers of this map"):
        _frame(results.moved_between(part, *pair))


# --- one age, strength --------------------------------------------------------------------------------------------


def _at_one_age(found: ProfileFindings, part: ProfileFound) -> None:
    ages = part.ages
    first = ages.index(part.plan.primary / 60) if isinstance(part.plan.primary, int) else 0
    age = st.selectbox("Age", ages, index=first, format_func=age_words, key=f"age {part.medium}")
    chart = drawn.at_one_age(found, part, age, dark=_dark())
    if chart is None:
        st.info("Nobody rated at this age.")
        return
    _draw(chart)
    st.caption(f"Marks: means over people with their {_level(part)} intervals.{_aimed(found, part, age)}")
    _saved(found, part, f"profile-{ages.index(age)}")


def _aimed(found: ProfileFindings, part: ProfileFound, age: float) -> str:
    if found.aims is None or results.target_rows(found.aims.targets, part.words(POINTS), age).empty:
        return " The brief has no target for this age."
    late = " These targets were written when this key was open already: not blind." if found.aims_late else ""
    return f" Bars and upright marks: what the brief aims at – at least, at most, or about the mark.{late}"


def _strength(found: ProfileFindings, part: ProfileFound) -> None:
    with frame.row():
        threshold = st.number_input(
            "Threshold", 0.5, 9.5, MIDDLE, 0.5, format="%.1f", key=f"threshold {part.medium}", width=160
        )
        time = st.segmented_control(
            "Time", ("log", "linear"), default="log", key=f"strength time {part.medium}", required=True
        )
    decay = part.decay if threshold == MIDDLE else part.decay_at(threshold)
    if decay is None:
        return
    _draw(drawn.strength(part, decay, time or "log", dark=_dark()))
    st.caption("Marks: means over people. Lines: the falling curve fitted to them. The threshold is yours, not sealed.")
    _saved(found, part, "strength-0")
    _lines(of_profiles.decay_line(one, threshold) for one in decay.trials)
    parting = [line for pair in decay.pairs for line in of_profiles.parting_lines(part, pair)]
    if parting:
        st.markdown("Where the fitted curves lie, told only as far as the family shows a difference of strength:")
        _lines(parting)


# --- words and levels, people, numbers ------------------------------------------------------------------------------


def _words(found: ProfileFindings, part: ProfileFound) -> None:
    for family, counted in part.counted.items():
        words = of_profiles.COUNTS.of(family)
        st.subheader(words.title, anchor=False)
        st.markdown(words.about)
        _lines(words.lines(counted, part.alpha))


def _people(found: ProfileFindings, part: ProfileFound) -> None:
    if part.people is None:
        return
    st.markdown(of_profiles.COACHING)
    names = sorted((one.panelist for one in part.people.panelists), key=str.casefold)
    who = st.selectbox("Person", names, key=f"person {part.medium}")
    chart = drawn.person(part, who, dark=_dark())
    if chart is not None:
        _draw(chart)
        st.caption("Band: from the lowest to the highest rating given. Dot: own mean. Ring: mean of the others.")
    (own,) = (one for one in part.people.panelists if one.panelist == who)
    _lines(of_profiles.person_lines(own))


def _numbers(found: ProfileFindings, part: ProfileFound) -> None:
    if part.model is not None:
        st.subheader("Mixed model", anchor=False)
        st.markdown("  \n".join(of_profiles.model_lines(part)))
        _frame(results.effects_shown(part))
    if part.differences is not None:
        st.subheader("Every comparison", anchor=False)
        for first, second in part.differences.pairs:
            st.markdown(frame.plain(sentence_case(f"{trial_name(second)} less {trial_name(first)}")))
            _frame(results.moved_between(part, first, second))


# --- small things -------------------------------------------------------------------------------------------------


def _draw(chart: Any) -> None:
    st.altair_chart(chart, theme=None, width="stretch")


def _saved(found: ProfileFindings, part: ProfileFound, name: str) -> None:
    """Links to this picture as files, where pictures can be drawn."""
    profile_downloads.picture_links(found, part, name)


def _frame(rows: pd.DataFrame) -> None:
    body = [tuple("" if pd.isna(cell) else _cell(cell) for cell in row) for row in rows.itertuples(index=False)]
    head = [str(name) if f"{name} ".startswith(SYMBOLS) else str(name).capitalize() for name in rows.columns]
    small_tables.table(head, [[said(cell) for cell in row] for row in body], wide=True)


def _cell(cell: Any) -> str:
    """Whole numbers without a decimal, and a p that stays on one line."""
    told = str(int(cell)) if isinstance(cell, float) and cell.is_integer() else str(cell)
    return told.replace("< ", "<\u00a0").replace("trial:age", "trial\u00a0×\u00a0age").replace(" and ", "\u00a0and ")


def _lines(lines: Iterable[str]) -> None:
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))


def _level(part: ProfileFound) -> str:
    return f"{results.shown(part.level * 100, 1):g} %"


def _dark() -> bool:
    theme = getattr(st.context, "theme", None)
    return getattr(theme, "type", None) == "dark"


def _separates(part: ProfileFound) -> bool:
    return part.effects is not None


def _compares(part: ProfileFound) -> bool:
    return part.separation is None and _rated(part)


def _rated(part: ProfileFound) -> bool:
    return bool(part.ratings(POINTS)["rating"].notna().any())


def _pairs(part: ProfileFound) -> bool:
    return _compares(part) and len(set(part.ratings(POINTS)["trial"])) > 1


def _fades(part: ProfileFound) -> bool:
    return Profile.of(part.plan).asks_strength and _compares(part) and len(part.ages) > 1


def _other_scales(part: ProfileFound) -> bool:
    return part.others_asked


VIEWS: Final[dict[str, tuple[Callable[[ProfileFound], bool], Callable[[ProfileFindings, ProfileFound], None]]]] = {
    EFFECTS: (_separates, _effects),
    OVER_AGES: (_compares, _over_ages),
    MOVED: (_pairs, _moved),
    AT_ONE_AGE: (_compares, _at_one_age),
    STRENGTH: (_fades, _strength),
    WORDS: (_other_scales, _words),
    PEOPLE: (_rated, _people),
    NUMBERS: (_compares, _numbers),
    EVERY_EFFECT: (_separates, _every_effect),
}
