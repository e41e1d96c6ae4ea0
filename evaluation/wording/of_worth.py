"""What to smell next by its worth, in sentences: chances that are the model's, pairs, what they take, when to stop."""

from __future__ import annotations

from typing import Final

from evaluation.deciding.worth import STOP_CHANCE, STOP_LOSS, NextByWorth, PairTonight, given_away
from evaluation.ground.tables_digits import fixed, percent
from evaluation.series.finals import HeldFinal
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording.of_series import held_words, voted_words
from evaluation.wording.of_verdicts import count

MODELS: Final = (
    "Chances here are the model's, never a verdict: it takes trials to resemble the one they were made from and people "
    "to differ, and learns from opened preferences, rounds and rankings. All it is for is what to smell next."
)


def belief_line(found: NextByWorth) -> str:
    """What it looked at, and which trial looks best."""
    people = count(found.panel, "person", "people")
    return (
        f"{_seen(found)} For the {people} of this panel it holds {trial_name(found.pick.label)} to be the best of "
        f"{count(len(found.chances), 'trial', 'trials')} with chance {percent(found.pick_chance)}."
    )


def _seen(found: NextByWorth) -> str:
    if not found.answers:
        return "No preference was opened yet: all the model knows is which trial was made from which."
    answers = count(found.answers, "preference", "preferences")
    return f"The model has seen {answers} from {count(found.sessions, 'opened session', 'opened sessions')}."


def stop_line(found: NextByWorth) -> str:
    """Whether to go on searching, and what the next step is; a final that runs comes before anything else."""
    if found.running is not None:
        return _waits(found.running)
    taken = trial_name(found.pick.label)
    beaten = _to(given_away(found.standing.foreseen_loss))
    if not found.standing.stop:
        return (
            f"Go on searching. Of {taken}, taken now, one would expect the best trial to win by {beaten} choices; stop "
            f"when that is {_to(given_away(STOP_LOSS))} or closer, or when one trial is the best with chance "
            f"{percent(STOP_CHANCE)}. A final held now settles one trial; the pairs below may find a better one first: "
            "which of the two tonight is for is yours to choose."
        )
    if found.failed is not None:
        return _had_its_final(found, found.failed)
    why = (
        f"with chance {percent(found.pick_chance)} it is the best"
        if found.pick_chance >= STOP_CHANCE
        else f"one would expect the best trial to win against it by no more than {beaten} choices"
    )
    return (
        f"Stop searching and hold a final about {taken}: {why}. What a search found is a lead; only fresh answers "
        f"about the trial you name beforehand can bear a keep.{_louder(len(found.finals))}"
    )


def _waits(final: HeldFinal) -> str:
    """Where a final that runs stands, and where to go."""
    told = f"{held_words(final)} is sealed and waits: {voted_words(final)}."
    if final.on_bench:
        return f"{told} Its sitting is on the bench: have it smelt and opened before you search on."
    return f"{told} Seal its next sitting on the page Series, or end it there, before you search on."


def _had_its_final(found: NextByWorth, final: HeldFinal) -> str:
    """The same final again is no way on: what it costs, and what is one."""
    trial, other = trial_name(final.trial), trial_name(final.other)
    return (
        f"{sentence_case(trial)} has had its final against {other}, and that did not end in keep. The same question "
        f"again would have to speak {5 ** len(found.finals)} times louder than a first final. Write a new trial and "
        f"smell it, or go on from {other}."
    )


def _louder(in_vain: int) -> str:
    if not in_vain:
        return ""
    held = "A final of this brief" if in_vain == 1 else f"{in_vain} finals of this brief"
    return (
        f" {held} did not end in keep, so any other is asked to speak {5**in_vain} times louder (the page "
        "Series says how much): a new trial may be worth more than the same question again."
    )


def _to(share: float) -> str:
    """ "54 to 46" """
    return f"{fixed(100 * share, 0)} to {fixed(100 - 100 * share, 0)}"


def pair_line(pair: PairTonight, found: NextByWorth) -> str:
    """ "Trials 7 and 9: 4 times, by 3 noses"."""
    labels = {one.id: one.label for one in found.trials}
    times = {1: "once", 2: "twice"}.get(pair.times, f"{pair.times} times")
    by = f", by {count(pair.noses, 'nose', 'noses')}" if len(found.asked) > 1 else ""
    return f"{sentence_case(trial_name(labels[pair.first_id], labels[pair.second_id]))}: {times}{by}"


def takes_line(found: NextByWorth) -> str:
    """Pairs, strips and minutes."""
    people = len(found.asked)
    each = count(found.each, "pair", "pairs")
    whose = "One nose" if people == 1 else f"{people} noses"
    return (
        f"{whose}, {each}{'' if people == 1 else ' each'}: {found.strips} strips, about {found.minutes} minutes of "
        "smelling with a rest of three minutes between pairs."
    )


def seed_line(found: NextByWorth) -> str:
    """How the proposal can be made again."""
    return (
        f"Drawn with seed {found.seed}, which is sealed with the plan: the same answers, people and strips propose the "
        "same again. Each pair sets one trial that may be the best against another that may be."
    )
