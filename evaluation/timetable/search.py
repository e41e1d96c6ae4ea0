"""Find a good order of tasks: several priority rules, then the same backwards in time, then lift and put back.

Every step is counted, never timed, and its chances come from a generator with a fixed seed: the same input gives the
same timetable on every machine.
"""

from __future__ import annotations

import random
from types import MappingProxyType
from typing import Final

from evaluation.timetable.bounds import lower_bound, own_tails
from evaluation.timetable.placing import Board, Place, mirrored, turned_back
from evaluation.timetable.quantities import FAR
from evaluation.timetable.tasks import Problem

Plan = dict[int, Place]
Order = list[int]

WORK: Final = (
    900_000  # of lifting and putting back: each task put down costs about as much as there are tasks beside it
)
RESCUES: Final = 12  # orders tried after every rule has left something without a place; fewer with many tasks
MOST_LIFTED: Final = 6  # of one nose, and of those dipped at about the same time
TURNS: Final = 6  # times a plan is pushed to its end and back


def search(problem: Problem) -> Plan | None:
    """The best plan found; None if every attempt left a set without a place."""
    if not worth_trying(problem):
        return None
    bound = lower_bound(problem)
    plan = _started(problem, bound)
    return None if plan is None else loosened(problem, pushed(problem, plan, bound), bound)


def feasible(problem: Problem) -> bool:
    """Whether ``search`` finds a plan at all."""
    return worth_trying(problem) and _started(problem, FAR) is not None


def worth_trying(problem: Problem) -> bool:
    """Whether there is time enough, and a place for every dip were it alone on the bench."""
    ends = [windows[-1][1] for windows in problem.windows if windows]
    if problem.tasks and lower_bound(problem) > max(ends, default=-1):
        return False
    board = Board(problem)
    return all(board.find(task, -FAR) for task in problem.tasks if task.skin or len(task.offsets) > 1)


def makespan(problem: Problem, plan: Plan) -> int:
    """The second at which the last smelling of a plan ends; 0 for an empty one."""
    smell = problem.bench.seconds_per_smell
    return max((max(place.smells) + smell for place in plan.values()), default=0)


# --- priority rules ---------------------------------------------------------------------------------------------------


def _ranked(problem: Problem) -> list[tuple[int, int, int]]:
    """Task number, its rank among its nose's tasks (oldest age first), and the tail that goes with that rank."""
    found = []
    for nose in range(len(problem.names)):
        mine = [number for number, task in enumerate(problem.tasks) if task.nose == nose]
        mine.sort(key=lambda number: (-problem.tasks[number].offsets[-1][0], number))
        tails = own_tails([problem.tasks[number] for number in mine], problem.bench)
        found += [(number, rank, tails[len(mine) - 1 - rank].seconds) for rank, number in enumerate(mine)]
    return found


def _largest_tail(problem: Problem) -> Order:
    return [number for number, _, _ in sorted(_ranked(problem), key=lambda one: (-one[2], one[1], one[0]))]


def _oldest_first(problem: Problem) -> Order:
    return [
        n
        for n, _, _ in sorted(_ranked(problem), key=lambda one: (-problem.tasks[one[0]].offsets[-1][0], one[1], one[0]))
    ]


def _youngest_first(problem: Problem) -> Order:
    age = [task.offsets[0][0] for task in problem.tasks]
    return [number for number, _, _ in sorted(_ranked(problem), key=lambda one: (age[one[0]], one[1], one[0]))]


def _turn_by_turn(problem: Problem) -> Order:
    return [number for number, _, _ in sorted(_ranked(problem), key=lambda one: (one[1], one[0]))]


def _nose_by_nose(problem: Problem) -> Order:
    return [number for number, _, _ in sorted(_ranked(problem), key=lambda one: (problem.tasks[one[0]].nose, one[1]))]


def _tightest_first(problem: Problem) -> Order:
    """Noses with the least time to come first."""
    room = [sum(end - begin for begin, end in windows) for windows in problem.windows]
    return [
        number for number, _, _ in sorted(_ranked(problem), key=lambda o: (room[problem.tasks[o[0]].nose], -o[2], o))
    ]


RULES: Final = MappingProxyType(
    {
        "largest tail": _largest_tail,
        "oldest first": _oldest_first,
        "turn by turn": _turn_by_turn,
        "youngest first": _youngest_first,
        "nose by nose": _nose_by_nose,
        "tightest first": _tightest_first,
    }
)


def _started(problem: Problem, bound: int) -> Plan | None:
    best: Plan | None = None if problem.tasks else {}
    left: list[tuple[Order, list[int]]] = []
    for rule in RULES.values():
        order = rule(problem)
        board, missing = _built(problem, order)
        if missing:
            left.append((order, missing))
        elif best is None or makespan(problem, board.places) < makespan(problem, best):
            best = dict(board.places)
        if best is not None and makespan(problem, best) <= bound:
            return best
    return best or _rescued(problem, left)


def _built(problem: Problem, order: Order) -> tuple[Board, list[int]]:
    board = Board(problem)
    return board, board.insert_all(order)


def _rescued(problem: Problem, left: list[tuple[Order, list[int]]]) -> Plan | None:
    """What found no place goes first next time, until all have one."""
    order, missing = min(left, key=lambda one: len(one[1]))
    for _ in range(max(2, min(RESCUES, 1200 // len(order)))):
        order = [*missing, *(number for number in order if number not in set(missing))]
        board, missing = _built(problem, order)
        if not missing:
            return dict(board.places)
    return None


# --- improvement ------------------------------------------------------------------------------------------------------


def pushed(problem: Problem, plan: Plan, bound: int) -> Plan:
    """Everything as late as it can be, then as early, in the order the last push left."""
    best = plan
    if any(task.skin for task in problem.tasks):  # washing comes before only
        return best
    for _ in range(TURNS):
        if makespan(problem, best) <= bound:
            break
        late = _pushed_late(problem, plan)
        board, missing = _built(problem, _by_dip(late)) if late else (None, [0])
        if board is None or missing:
            break
        plan = dict(board.places)
        if makespan(problem, plan) >= makespan(problem, best):
            break
        best = plan
    return best


def _pushed_late(problem: Problem, plan: Plan) -> Plan | None:
    mirror = mirrored(problem, makespan(problem, plan))
    board, missing = _built(mirror, sorted(plan, key=lambda number: (-max(plan[number].smells), number)))
    return None if missing else {number: turned_back(problem, number, place) for number, place in board.places.items()}


def _by_dip(plan: Plan) -> Order:
    return sorted(plan, key=lambda number: (plan[number].dip, number))


def loosened(problem: Problem, plan: Plan, bound: int) -> Plan:
    """Lift the sets that end last with some others, put them back in another order, keep what is no worse."""
    chance = random.Random(len(problem.tasks))
    board = Board(problem)
    for number, place in plan.items():
        board.put(number, place)
    budget, idle = WORK, 0
    while budget > 0 and idle < 100 + 10 * len(plan) and makespan(problem, board.places) > bound:
        before = _score(board)
        budget -= _lifted_and_put(board, chance)
        idle = 0 if _score(board) < before else idle + 1
    return dict(board.places)


def _lifted_and_put(board: Board, chance: random.Random) -> int:
    """One attempt; returns the work it was."""
    before, score = dict(board.places), _score(board)
    lifted = _chosen(board, chance)
    for number in lifted:
        board.take(number)
    missing = board.insert_all(lifted)
    if missing or _score(board) > score:
        for number in lifted:
            if number in board.places:
                board.take(number)
        for number in lifted:
            board.put(number, before[number])
    return len(lifted) * (40 + len(before))


def _score(board: Board) -> tuple[int, int]:
    """Smaller is better: the end, then how late all noses are through taken together."""
    last: dict[int, int] = {}
    for number, place in board.places.items():
        nose = board.problem.tasks[number].nose
        last[nose] = max(last.get(nose, 0), *place.smells)
    return max(last.values()), sum(last.values())


def _chosen(board: Board, chance: random.Random) -> Order:
    """The set that ends last, some of the same nose, some dipped about when it is, in an order drawn at random."""
    tasks, places = board.problem.tasks, board.places
    worst = max(places, key=lambda number: (max(places[number].smells), number))
    same = [number for number in places if tasks[number].nose == tasks[worst].nose and number != worst]
    middle = places[chance.choice([worst, *same])].dip
    others = sorted((n for n in places if n != worst), key=lambda n: (abs(places[n].dip - middle), n))[:MOST_LIFTED]
    lifted = {worst, *chance.sample(same, min(len(same), chance.randint(0, MOST_LIFTED)))}
    lifted.update(chance.sample(others, min(len(others), chance.randint(0, MOST_LIFTED))))
    order = sorted(lifted)
    chance.shuffle(order)
    return order
