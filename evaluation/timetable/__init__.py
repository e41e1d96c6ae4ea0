"""Who dips what when, and who smells what when: a plan without conflicts, on whole seconds from the session's start.

``plan_timetable(wanted, people, bench)`` gives a ``Timetable`` or a ``NoFit``; ``breaks(timetable, wanted, people,
bench)`` lists every constraint a timetable breaks, by a route of its own; ``reflow(timetable, now, dipped, smelt,
wanted, people, bench)`` keeps what has happened and plans the rest anew, a set more included.
"""

from evaluation.timetable.checker import breaks
from evaluation.timetable.planning import plan_timetable
from evaluation.timetable.quantities import DAY, Bench, Line, NoFit, Person, Relaxation, Timetable, Totals, Wanted
from evaluation.timetable.underway import reflow
from evaluation.timetable.views import by_person, by_preparer

__all__ = [
    "DAY",
    "Bench",
    "Line",
    "NoFit",
    "Person",
    "Relaxation",
    "Timetable",
    "Totals",
    "Wanted",
    "breaks",
    "by_person",
    "by_preparer",
    "plan_timetable",
    "reflow",
]
