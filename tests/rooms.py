"""The rooms of the house and their order: what the layers test proves and what DEVELOPERS.md prints.

``python tests/rooms.py`` writes the map in DEVELOPERS.md anew from the tables here.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parents[1]
Rows = tuple[tuple[str, ...], ...]

# Bottom first. A module imports only from rows below its own; two of one row do not know each other.
ROWS: Final[Rows] = (
    ("errors",),
    ("checks", "states", "tables_digits"),
    ("canonical", "clock", "markup", "places", "terms"),
    ("statistics",),
    ("descriptors",),
    ("briefs", "people", "trials"),
    ("skin", "kinds"),
    ("decisions", "sessions"),
    ("cautions", "smelling"),
    ("asking", "dipping", "draws"),
    ("serving_orders",),
    ("blinding", "timetable"),
    ("marks", "tallies"),
    ("questions",),
    ("entries", "habits", "profiles", "rounds"),
    ("figures",),
    ("verdicts",),
    ("outlook", "spread", "nulls", "sequences", "prospects"),
    ("alone", "designs", "evidence", "sizes"),
    ("claims",),
    ("proposals",),
    ("next_smellings",),
    ("store",),
    ("wording_kinds",),
    ("wording_ballot", "wording_draws"),
    ("wording_verdicts",),
    (
        "wording_plans",
        "wording_panels",
        "wording_looks",
        "wording_prospects",
        "wording_profiles",
        "wording_rounds",
        "wording_solo",
        "wording_sizes",
    ),
    ("wording_claims", "wording_decisions", "wording_evidence", "wording_sealed"),
    ("wording_next",),
    ("wording",),
    ("tables",),
    ("tables_rounds",),
    ("actions", "charts"),
    ("answers",),
    ("answer_files",),
    ("sheets", "judge", "demo", "keeping"),
    ("report",),
)

# Rows inside a room, bottom first as well. A room without rows here (actions, store) orders itself, without a circle.
WITHIN: Final[dict[str, Rows]] = {
    "evaluation.statistics": (
        ("laws",),
        ("forced_choice",),
        ("preference", "several_looks", "small_panels"),
        ("ratings",),
        ("dry_down",),
    ),
    "evaluation.statistics.laws": (
        ("inputs", "intervals"),
        ("betabinomial", "binomial", "several_questions", "signflip"),
        ("exchange", "sawtooth"),
    ),
    "evaluation.statistics.forced_choice": (
        ("methods",),
        ("thurstone",),
        ("difference", "panel_power"),
        ("second_opinion", "similarity", "surface"),
    ),
    "evaluation.statistics.preference": (
        ("pair_tables", "rank_laws", "votes"),
        ("camps", "pair_model", "ranking"),
        ("pair_checks", "pair_words"),
        ("merits",),
    ),
    "evaluation.statistics.several_looks": (("absorption",), ("stopping",), ("sequential",)),
    "evaluation.statistics.small_panels": (("between", "per_person"), ("limits", "missed_material", "replication")),
    "evaluation.statistics.ratings": (
        ("cochran", "effects", "frames", "paired"),
        ("cells", "differences", "reml", "strata"),
        ("checked", "just_right", "mixed_model", "performance"),
    ),
    "evaluation.statistics.dry_down": (("falling", "nearness", "typical"), ("curves",)),
    "evaluation.kinds": (("facts",), ("by_kind", "design"), ("several", "two_trials"), ("forced_choice",)),
    "evaluation.skin": (("reactions", "values"), ("patches",), ("patch_gate",), ("gating",)),
    "evaluation.timetable": (
        ("values",),
        ("calendars", "tasks", "views"),
        ("bounds", "checker", "placing"),
        ("relax", "search"),
        ("settle",),
        ("planning",),
        ("underway",),
    ),
    "evaluation.alone": (("ways",), ("course",), ("foreseen",)),
    "evaluation.keeping": (("own_copies", "told"), ("backup_commands",)),
    "evaluation.charts": (("ink",), ("profiles", "rounds")),
}
LAYERS: Final[dict[str, Rows]] = {"": (("evaluation",), ("pages",)), "evaluation": ROWS, **WITHIN}

# What a process loads of evaluation/ in which people answer (rooms), and what the screens of the ballot ask for by name.
BALLOT_LOADS: Final = frozenset(
    {
        *("actions", "asking", "blinding", "briefs", "canonical", "checks", "clock", "decisions", "descriptors"),
        *(
            "dipping",
            "draws",
            "errors",
            "kinds",
            "marks",
            "people",
            "serving_orders",
            "sessions",
            "skin",
            "smelling",
            "states",
        ),
        *("store", "terms", "trials"),
    }
)
BALLOT_SCREEN_MAY_IMPORT: Final = frozenset(
    {
        *("actions.ballot", "actions.begins", "actions.doors", "cautions", "descriptors", "dipping", "errors"),
        *("kinds", "markup", "sessions", "smelling", "wording"),
    }
)


def module_name(path: Path) -> str:
    """The dotted name of a source file: ``pages/parts/x.py`` is ``pages.parts.x`` here, whatever it is imported as."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


SOURCES: Final = {
    module_name(path): path for top in ("evaluation", "pages") for path in sorted((ROOT / top).rglob("*.py"))
}


def rank(room: str, child: str) -> int | None:
    """In which row of a room something stands; None where it stands in none."""
    return next((number for number, row in enumerate(LAYERS[room]) if child in row), None)


# --- the map ----------------------------------------------------------------------------------------------------------

WIDE: Final = 118
HEADING: Final = "## Direction of imports"


def printed() -> str:
    """The map as DEVELOPERS.md shows it, top first; rows inside a room stand behind its name, its highest first."""
    screens = sorted(name.split(".")[1] for name in SOURCES if name.startswith("pages.") and name.count(".") == 1)
    lines = [f"pages: {' · '.join(screen for screen in screens if screen != 'parts')} over parts"]
    for row in reversed(ROWS):
        plain = [room for room in row if f"evaluation.{room}" not in LAYERS]
        lines += [" · ".join(plain)] if plain else []
        for room in row:
            if room not in plain:
                lines += _room(f"evaluation.{room}", "")
    return "\n".join(piece for line in lines for piece in _folded(line))


def _room(name: str, indent: str) -> list[str]:
    rows = " over ".join(" · ".join(row) for row in reversed(LAYERS[name]))
    inner = [child for row in reversed(LAYERS[name]) for child in row if f"{name}.{child}" in LAYERS]
    lines = [f"{indent}{name.rsplit('.', 1)[1]}: {rows}"]
    return lines + [line for child in inner for line in _room(f"{name}.{child}", indent + "  ")]


def _folded(line: str) -> list[str]:
    """A long line goes on below, four deeper."""
    indent = " " * (len(line) - len(line.lstrip()) + 4)
    folded = [line]
    while len(folded[-1]) > WIDE:
        cut = folded[-1].rfind(" ", 0, WIDE)
        folded[-1:] = [folded[-1][:cut], indent + folded[-1][cut + 1 :]]
    return folded


def shown(developers: str) -> str:
    """The map as it stands in DEVELOPERS.md: the first fenced block below its heading."""
    return developers.split(HEADING, 1)[1].split("```\n", 2)[1].rstrip("\n")


def main() -> None:
    """Write the map in DEVELOPERS.md anew."""
    page = ROOT / "DEVELOPERS.md"
    text = page.read_text(encoding="utf-8")
    before, after = text.split(HEADING, 1)
    opening, _, rest = after.split("```\n", 2)
    page.write_text(f"{before}{HEADING}{opening}```\n{printed()}\n```\n{rest}", encoding="utf-8")


if __name__ == "__main__":
    main()
