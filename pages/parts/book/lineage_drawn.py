"""The lineage as a picture: trials down the page, branches one lane to the right, words right of the lanes.

Lines are borders and words are text: they wrap on a phone, follow the theme, and print. In a lane right of a trial
nothing stands beside it (see ``places``), so a long label or a long change only makes its own row higher.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

from evaluation.deciding.lineages import Lineage, Place, Step
from evaluation.ground.markup import Html, template
from evaluation.values.trials import trial_name
from evaluation.wording import of_lineages
from evaluation.wording.of_lineages import Heard

STEP: Final = 26  # from lane to lane, in pixels
BOX: Final = 40  # a trial with a short label
WORDS: Final = 14  # from a line to the words of its step
PHONE: Final = 390
AROUND: Final = 74  # of a phone's width: margins of the page, border and padding of the card
NARROWEST: Final = 100  # what words can still be read in; eight lanes leave it, which 255 trials cannot pass

SMELT: Final = "smelt"
AHEAD: Final = "ahead"
NEVER: Final = "never"
BESIDE: Final = "beside"
KEY: Final = {
    SMELT: "smelt",
    AHEAD: "sealed or planned",
    NEVER: "not smelt",
    BESIDE: "smelt, not parent and child",
}
_BOXES: Final = {"keep": "filled", "drop": "gone"}

STYLE: Final = Html(f"<style>{Path(__file__).with_name('lineage.css').read_text('utf-8')}</style>")

_TREE: Final = template(
    '{{ style }}<div class="mo-tree" style="--step:{{ step }}px;--box:{{ box }}px;--words:{{ words }}px" role="img" '
    'aria-label="{{ said }}">{% for one in trials %}{{ one }}{% endfor %}{{ besides }}{{ key }}</div>'
)
_TRIAL: Final = template(
    '<div class="mo-trial" style="--at:{{ lane }}">{{ edge }}<div class="mo-node">{{ lines }}'
    '<span class="mo-label {{ box }}">{{ label }}</span>'
    '{% if word %}<span class="mo-decided">{{ word }}</span>{% endif %}</div></div>'
)
_EDGE: Final = template('<div class="mo-edge">{{ lines }}{{ words }}</div>')
_LINE: Final = template('<i class="{{ kind }}" style="--at:{{ lane }}"></i>')
_WORDS: Final = template(
    "{% if origin %}{{ origin }} · {% endif %}{{ change }}{% for one, strip in heard %}<b>{% if strip %}"
    '<span class="mo-strip {{ strip }}"></span>{% endif %}{{ one.words }}</b>{% endfor %}'
    '{% if quiet %}<span class="mo-quiet">{{ quiet }}</span>{% endif %}'
)
_BESIDES: Final = template(
    '<div class="mo-besides">{% for first, second, words in told %}<div class="mo-beside"><span class="mo-ends">'
    '<span class="mo-label {{ first[1] }}">{{ first[0] }}</span><s></s><span class="mo-label {{ second[1] }}">'
    "{{ second[0] }}</span></span><div>{{ words }}</div></div>{% endfor %}"
    '{% for one in more %}<span class="mo-quiet">{{ one }}</span>{% endfor %}</div>'
)
_KEY: Final = template(
    '{% if kinds %}<div class="mo-key">{% for kind, said in kinds %}<span><s class="{{ kind }}"></s>{{ said }}</span>'
    "{% endfor %}</div>{% endif %}"
)


def left_of(lane: int) -> tuple[int, int, int]:
    """Where in the card a trial's box begins in a lane, where its line stands, and where the words of its step begin.

    In pixels; the style sheet reckons the same.
    """
    begins = lane * STEP
    return begins, begins + BOX // 2, begins + BOX // 2 + WORDS


def picture(found: Lineage) -> Html:
    """The whole picture; it holds no word that the list beside it does not tell as well."""
    kinds = {_kind(one) for one in found.steps.values()} | ({BESIDE} if found.besides else set())
    return _TREE(
        style=STYLE,
        step=STEP,
        box=BOX,
        words=WORDS,
        said=of_lineages.summary(found),
        trials=[_trial(found, one) for one in found.places],
        besides=_besides(found) if found.besides else "",
        key=_KEY(kinds=[(kind, said) for kind, said in KEY.items() if kind in kinds]),
    )


def _kind(step: Step) -> str:
    """Which line a step is drawn with."""
    return SMELT if step.sessions else AHEAD if step.ahead else NEVER


def _trial(found: Lineage, place: Place) -> Html:
    step, lane = found.steps.get(place.trial_id), place.lane
    passing = [_LINE(kind=_kind(found.steps[one]), lane=at) for at, one in enumerate(place.passing)]
    edge: Html | str = ""
    through = list(passing)
    if step is not None:
        own = _LINE(kind=f"{'turn ' if place.turns else ''}{_kind(step)}", lane=lane)
        edge = _EDGE(lines=_joined([*passing, own]), words=_step_words(step, found, _far(found, place)))
        through.append(_LINE(kind=f"over {_kind(step)}", lane=lane))
    elif found.places[0] is not place:
        edge = Html('<div class="mo-gap"></div>')
    if place.goes_on:
        through.append(_LINE(kind=f"under {_kind(found.steps[place.goes_on])}", lane=lane))
    label, box = _box(found, place.trial_id)
    word = of_lineages.decided_words(found, place.trial_id)
    return _TRIAL(lane=lane, edge=edge, lines=_joined(through), label=label, box=box, word=word)


def _far(found: Lineage, place: Place) -> bool:
    """Whether another trial stands between this one and the one it was made from."""
    above = found.places[found.places.index(place) - 1]
    return place.turns or above.trial_id != place.parent_id


def _joined(pieces: list[Html]) -> Html:
    return Html("").join(pieces)


def _step_words(step: Step, found: Lineage, far: bool) -> Html:
    """The change, the word of each session, and what is still to come; of a long line also where it comes from."""
    seen = found.evidence
    told = of_lineages.heard(step, seen)
    return _WORDS(
        origin=f"From {trial_name(seen.label(step.first_id))}" if far else "",
        change=of_lineages.change_words(step, seen),
        heard=[(one, _strip(one)) for one in told],
        quiet=of_lineages.ahead_words(step),
    )


def _strip(one: Heard) -> str:
    return of_lineages.SIGNS.get(one.sign, "")


def _box(found: Lineage, trial_id: str) -> tuple[str, str]:
    """A trial's label without the word trial, and how its box is drawn."""
    label = trial_name(found.evidence.label(trial_id)).removeprefix("trial ")
    word = found.decided.get(trial_id, "keep" if trial_id == found.lead else "")
    return label, " ".join(one for one in (_BOXES.get(word, ""), "long" if len(label) > 4 else "") if one)


def _besides(found: Lineage) -> Html:
    shown = found.besides[: of_lineages.MOST_BESIDES]
    return _BESIDES(
        told=[(_box(found, one.first_id), _box(found, one.second_id), _beside_words(one, found)) for one in shown],
        more=of_lineages.more_besides(found),
    )


def _beside_words(step: Step, found: Lineage) -> Html:
    told = of_lineages.heard(step, found.evidence)
    change = of_lineages.change_words(step, found.evidence) if step.change is not None else ""
    quiet = of_lineages.ahead_words(step)
    return _WORDS(origin="", change=change, heard=[(one, _strip(one)) for one in told], quiet=quiet)
