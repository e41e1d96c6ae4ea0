"""Words of what a session can and cannot be pinned on: before it is sealed, beside its verdict, and in its report.

Nothing is ever proved here: a change fits or is unfitting. Only :func:`counted_lines` goes into a report, and names no
change.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from evaluation.deciding.evidence import NOTICE, PREFERENCE
from evaluation.deciding.pinning import Counted, MovedAt, Pinning, Placed
from evaluation.formulas import FITS, UNFITTING
from evaluation.values.trials import listed, sentence_case, trial_name
from evaluation.wording.of_formulas import change_name
from evaluation.wording.of_profiles import age_words
from evaluation.wording.of_verdicts import count, percent

_BY: Final[Mapping[str, str]] = MappingProxyType({NOTICE: "told apart", PREFERENCE: "one preferred"})
NONE_KNOWN: Final = (
    "No window of minutes is known of these changes, so nothing can be told of which of them it is: every one fits "
    "whatever is found. A class or minutes of a material are entered on the page Skin, under Materials and limits."
)
ON_SKIN: Final = "Windows are minutes on a strip: on skin they speak against no change."
MASKING: Final = (
    "What the rule leaves out by assumption: that one material masks or carries another, as a base can change the "
    "opening. So unfitting is no proof against a change, and fitting none for it."
)
CLASSES: Final = (
    "Where nobody typed minutes, a window is that of the class of the material, from the first sniff to when it is "
    "gone: a habit of the trade."
)
NO_CHANGE: Final = "no named change lies between them, as far as the formulas are written"
OF_SHARE: Final = "Nothing was made up, so the share of all that stayed differs as well: that may be smelt at any age."
BESIDE: Final = "Another stock or lot, or solvent made up, comes on top and is judged by no window."
_HALVED: Final = (
    "Unfitting means: every strip age at which something moved lies outside the windows of its materials, widened "
    "twofold."
)


# --- before sealing -------------------------------------------------------------------------------------------------


def foreseen_lines(found: Pinning) -> tuple[str, ...]:
    """What this session will and will not be able to tell of the changes between two trials."""
    if not found.changes:
        return (f"{_names(found)}: {NO_CHANGE}.",)
    return (f"{_names(found)}: {_together(found)}", *_by_time(found), *_what_else(found))


def _names(found: Pinning | Counted) -> str:
    return sentence_case(f"{trial_name(found.first)} → {trial_name(found.second)}")


def _together(found: Pinning) -> str:
    if len(found.changes) == 1:
        return (
            f"one change, {change_name(found.changes[0].change)}. What is found comes of it or of whatever else "
            "differs, such as strength, batch or handling; that it comes of it is not proved."
        )
    return (
        f"{len(found.changes)} changes at once. Whatever is found is found of all of them together: no answer tells "
        "which. To know that, smell a trial with one of them alone."
    )


def _by_time(found: Pinning) -> Iterator[str]:
    if not found.ages:
        yield ON_SKIN
    elif len(found.unknown) == len(found.changes):
        yield NONE_KNOWN
    else:
        yield from (_place(group, found.ages) for group in found.alike)


def _place(group: Sequence[Placed], ages: Sequence[Decimal]) -> str:
    """What a group smelt at the same of the ages can be called, and that its changes are not told from one another."""
    inside, name = group[0].inside, sentence_case(_changes(group))
    several = len(group) > 1
    fits, it, them = ("fit", "they", "them") if several else ("fits", "it", "it")
    apart = " This session cannot tell them from one another." if several else ""
    if inside is None:
        why = "not every window of them is known" if several else "not every window of it is known"
        return f"{name}: {fits} whatever is found, since {why}.{apart}"
    if len(inside) == len(ages):
        return f"{name}: {fits} whatever is found, since every age planned may show {them}.{apart}"
    if not inside:
        return (
            f"{name}: expected at none of the ages planned. Whatever moves, {it} will be called unfitting; plan an "
            f"age inside the window to smell {them}.{apart}"
        )
    return f"{name}: unfitting if something moves and nothing does at {_ages(inside)}, else fitting.{apart}"


def _what_else(found: Pinning) -> Iterator[str]:
    if found.thinned:
        yield OF_SHARE
    if found.beside:
        yield BESIDE


# --- beside the verdict ---------------------------------------------------------------------------------------------


def pinned_lines(found: Pinning) -> tuple[str, ...]:
    """What an opened session can and cannot be pinned on."""
    if not found.changes:
        return (f"{_names(found)}: {NO_CHANGE}, so what was found there can be pinned on none.",)
    return (f"{_names(found)}: {_opened(found)}", *_words(found), *_what_else(found))


def _opened(found: Pinning) -> str:
    """How many changes there are, and where something moved."""
    changes = count(len(found.changes), "change", "changes at once")
    if not found.moved:
        over = " Over all ages together something was shown, which is at no age of its own." if found.over_all else ""
        return (
            f"{changes}. Nothing was shown to move at any strip age, so nothing is said of which.{over} Not shown is "
            "not the same as nothing there."
        )
    moved = f"Something moved {moved_words(found.moved)}."
    if len(found.changes) == 1:
        return f"{changes}. Whatever moved came of it, or of whatever else differs. {moved}"
    return f"{changes}, and no answer tells which of them it was, or whether several together. {moved}"


def moved_words(moved: Sequence[MovedAt]) -> str:
    """ "at 5 min (told apart) and 6 h (woody)"."""
    return "at " + listed(
        f"{age_words(float(one.minutes))} ({listed(_BY.get(by, by) for by in one.by)})" for one in moved
    )


def _words(found: Pinning) -> Iterator[str]:
    if not found.moved:
        if not found.ages:
            yield ON_SKIN
        return
    if len(found.unknown) == len(found.changes):
        yield NONE_KNOWN
        return
    unfitting = found.called(UNFITTING)
    if unfitting:
        yield f"Unfitting: {_changes(unfitting)}."
    fits = [one for one in found.called(FITS) if one.inside is not None]
    if fits:
        yield f"Fitting, which proves nothing: {_changes(fits)}."
    if found.unknown:
        yield f"Fitting whatever is found, since a window is not known: {_changes(found.unknown)}."
    if len(unfitting) == len(found.changes):
        yield (
            "No change fits: look at what else differs, such as strength, batch, age and handling, and at the windows "
            "themselves."
        )


def assumptions(found: Iterable[Pinning]) -> tuple[str, ...]:
    """What all of this rests on, told once beneath; nothing where no window speaks."""
    told = [one for one in found if any(each.inside is not None for each in one.changes) and one.ages]
    if not told:
        return ()
    alphas = {one.alpha for one in told} - {None}
    risk = f"at most {listed(sorted(percent(float(one)) for one in alphas if one is not None))}" if alphas else (
        "at most the alpha risk"
    )  # fmt: skip
    known = (
        f"Where windows are right within a factor of two, the change that did it is called unfitting in {risk} of such "
        "sessions."
    )
    classes = [CLASSES] if any(each.by_class for one in told for each in one.changes) else []
    return (_HALVED, MASKING, known, *classes)


def _changes(group: Iterable[Placed]) -> str:
    return listed(change_name(one.change) for one in group)


def _ages(ages: Sequence[Decimal]) -> str:
    return listed(age_words(float(one)) for one in ages)


# --- in a report: counted, never named --------------------------------------------------------------------------------


def counted_lines(found: Iterable[Counted]) -> Iterator[str]:
    """How many changes lie between every two trials and how many of them fit; none is named."""
    told = [one for one in found if one.changes]
    for one in told:
        yield _counted(one)
    if any(one.unfitting or one.fitting for one in told):
        yield f"{_HALVED} {MASKING}"


def _counted(found: Counted) -> str:
    head = f"{_names(found)} differ in {count(found.changes, 'named change', 'named changes at once')}"
    if not found.moved:
        return f"{head}; nothing was shown to move at any strip age, so nothing is said of which."
    said = f"{head}, and something moved {moved_words(found.moved)}: "
    if found.unknown == found.changes:
        return f"{said}no window of minutes is known of them, so nothing can be told of which it is."
    parts = [(found.unfitting, "unfitting"), (found.fitting, "fitting, which proves nothing")]
    return f"{said}{listed(f'{number} {word}' for number, word in parts if number)}; nothing is proved of any."
