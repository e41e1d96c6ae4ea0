"""The rooms of the house and their order: what the layers test proves and what DEVELOPERS.md prints.

``python tests/rooms.py`` writes the map in DEVELOPERS.md anew from the tables here.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parents[1]
Rows = tuple[tuple[str, ...], ...]

# Bottom first. A module imports only from rows below its own; two of one row do not know each other.
ROWS: Final[Rows] = (
    ("errors",),
    ("clock", "ground"),
    ("statistics", "timetable", "values"),
    ("formulas", "kinds"),
    ("skin",),
    ("sessions",),
    ("serving",),
    ("counting", "series"),
    ("judging",),
    ("planning",),
    ("alone", "deciding"),
    ("store",),
    ("wording",),
    ("tables",),
    ("actions", "charts"),
    ("demo", "judge", "keeping", "sheets"),
    ("report",),
)

# Rows inside a room, bottom first as well. A room without rows here (actions, store) orders itself, without a circle.
WITHIN: Final[dict[str, Rows]] = {
    "evaluation.alone": (
        ("ways",),
        ("course",),
        ("foreseen",),
    ),
    "evaluation.charts": (
        ("ink",),
        (
            "effect_pictures",
            "profile_pictures",
            "round_pictures",
        ),
    ),
    "evaluation.counting": (
        (
            "cell_codes",
            "shown_ages",
            "tallies",
        ),
        (
            "answers",
            "changes_did",
            "questions",
        ),
        (
            "adding_votes",
            "answer_files",
            "habits",
            "profiles",
            "rounds",
        ),
        ("fans", "liked"),
    ),
    "evaluation.deciding": (
        (
            "evidence",
            "top_two",
        ),
        (
            "bottles_told",
            "claims",
            "pinning",
            "worth",
        ),
        (
            "lineages",
            "proposals",
        ),
        (
            "named_changes",
            "next_smellings",
        ),
        ("taught",),
    ),
    "evaluation.formulas": (
        ("raw_materials",),
        (
            "lines",
            "pasting",
            "windows",
        ),
        (
            "amounts",
            "typed_lines",
        ),
        (
            "batches",
            "pairs",
        ),
        ("changes",),
        ("separated",),
        ("without",),
    ),
    "evaluation.ground": (
        (
            "by_record",
            "canonical",
            "file_locks",
            "intake",
            "markup",
            "places",
            "states",
            "tables_digits",
        ),
        (
            "archives",
            "checks",
            "receipts",
            "terminal",
        ),
        ("terms",),
    ),
    "evaluation.judging": (
        ("entries",),
        ("figures",),
        (
            "nulls",
            "suspecting",
            "verdicts",
        ),
        (
            "adding_up",
            "sequences",
            "spread",
        ),
    ),
    "evaluation.keeping": (
        (
            "copies_of_people",
            "own_copies",
            "place_option",
            "told",
        ),
        ("receipts_told",),
        (
            "at_start",
            "backup_commands",
            "passphrase_command",
        ),
    ),
    "evaluation.kinds": (
        ("facts",),
        (
            "by_kind",
            "separation",
        ),
        ("design",),
        (
            "several",
            "two_trials",
        ),
        ("forced_choice",),
    ),
    "evaluation.planning": (
        ("effect_sizes",),
        (
            "null_sets",
            "weights",
        ),
        (
            "by_direction",
            "layouts",
            "outlook",
            "prospects",
        ),
        (
            "designs",
            "sizes",
        ),
        ("price_of_series",),
    ),
    "evaluation.report": (
        (
            "blocks",
            "how_worked_out",
            "numbers",
            "packed_formulas",
        ),
        (
            "export",
            "ticked_formulas",
            "web_page",
            "whole",
        ),
        (
            "brief",
            "print_out",
            "profile",
            "several_trials",
            "two",
        ),
        ("composing",),
        ("command",),
    ),
    "evaluation.series": (
        ("records",),
        ("sealed",),
        (
            "finals",
            "off_notes",
            "search_series",
        ),
    ),
    "evaluation.serving": (
        (
            "asking",
            "cautions",
            "dipping",
            "draws",
            "smelling",
        ),
        ("incomplete_blocks",),
        ("orders",),
        ("blinding",),
        ("marks",),
    ),
    "evaluation.sheets": (
        (
            "fonts",
            "stocks",
            "words",
        ),
        (
            "pieces",
            "timing",
        ),
        (
            "calendar_file",
            "cards",
            "pdf",
            "preparing",
            "times",
            "weigh_ins",
        ),
        (
            "labels",
            "pdf_cards",
        ),
        ("html",),
        ("printing",),
    ),
    "evaluation.skin": (
        (
            "day_worn",
            "materials",
            "reactions",
        ),
        ("patches",),
        ("patch_gate",),
        ("gating",),
    ),
    "evaluation.statistics": (
        ("laws",),
        ("forced_choice",),
        (
            "preference",
            "several_looks",
            "small_panels",
        ),
        ("ratings",),
        (
            "dry_down",
            "which_change",
        ),
    ),
    "evaluation.statistics.dry_down": (
        (
            "falling",
            "nearness",
            "typical",
        ),
        ("curves",),
    ),
    "evaluation.statistics.forced_choice": (
        ("methods",),
        ("thurstone",),
        (
            "difference",
            "panel_power",
        ),
        (
            "second_opinion",
            "similarity",
            "sureness",
            "surface",
            "weighing",
        ),
    ),
    "evaluation.statistics.laws": (
        (
            "inputs",
            "intervals",
        ),
        (
            "betabinomial",
            "binomial",
            "several_questions",
            "signflip",
        ),
        (
            "exchange",
            "sawtooth",
        ),
    ),
    "evaluation.statistics.preference": (
        (
            "pair_tables",
            "paired_belief",
            "rank_laws",
            "votes",
        ),
        (
            "brief_merits",
            "camps",
            "pair_model",
            "ranking",
        ),
        (
            "pair_checks",
            "pair_words",
        ),
        ("merits",),
    ),
    "evaluation.statistics.ratings": (
        (
            "climbing",
            "cochran",
            "effects",
            "frames",
            "paired",
        ),
        (
            "cells",
            "crossed",
            "differences",
            "reml",
            "strata",
        ),
        (
            "checked",
            "just_right",
            "mixed_model",
            "performance",
        ),
    ),
    "evaluation.statistics.several_looks": (
        (
            "absorption",
            "martingales",
        ),
        ("stopping",),
        ("sequential",),
    ),
    "evaluation.statistics.small_panels": (
        (
            "between",
            "per_person",
        ),
        (
            "limits",
            "missed_material",
            "replication",
        ),
    ),
    "evaluation.statistics.which_change": (
        (
            "combinations",
            "never_apart",
            "suspicion",
        ),
        (
            "contrasts",
            "learning",
        ),
    ),
    "evaluation.store.anchors": (
        ("end_marks",),
        (
            "comparing",
            "journal",
            "losses_told",
            "server_table",
        ),
        ("anchor",),
    ),
    "evaluation.store.backup": (
        (
            "kept_copies",
            "leftovers",
            "row_lines",
        ),
        ("form",),
        (
            "lost_ends",
            "written_rows",
        ),
        (
            "before_changes",
            "checking",
        ),
        ("making",),
        ("restoring",),
    ),
    "evaluation.tables": (
        ("results",),
        (
            "effects_told",
            "standings",
            "taught_rows",
        ),
    ),
    "evaluation.timetable": (
        ("quantities",),
        (
            "calendars",
            "tasks",
            "views",
        ),
        (
            "bounds",
            "checker",
            "placing",
        ),
        (
            "relax",
            "search",
        ),
        ("settle",),
        ("planning",),
        ("underway",),
    ),
    "evaluation.values": (
        (
            "decisions",
            "people",
            "scales",
            "second_strips",
            "trials",
        ),
        (
            "bottles",
            "briefs",
            "descriptors",
        ),
    ),
    "evaluation.wording": (
        ("of_kinds",),
        (
            "of_ballots",
            "of_bench",
            "of_bottles",
            "of_draws",
        ),
        (
            "of_claims",
            "of_verdicts",
        ),
        (
            "of_effect_sizes",
            "of_fans",
            "of_weights",
        ),
        (
            "of_looks",
            "of_panels",
            "of_people",
            "of_plans",
            "of_profiles",
            "of_prospects",
            "of_rounds",
            "of_series",
            "of_sizes",
            "of_solo",
        ),
        (
            "of_separations",
            "of_sums",
            "of_suspects",
            "of_worth",
        ),
        (
            "of_decisions",
            "of_evidence",
            "of_formulas",
            "of_sealed_plans",
        ),
        (
            "of_lineages",
            "of_next_smellings",
            "of_pinning",
            "of_taught",
        ),
    ),
    "pages.parts.adding": (
        (
            "final_fields",
            "sitting_fields",
            "sums_shown",
            "suspects_asked",
        ),
    ),
    "pages.parts.ballot": (
        ("receipts_kept",),
        (
            "around_questions",
            "look",
            "scripts",
        ),
        (
            "calling",
            "choice",
            "rating",
            "rest_left",
            "sitting_begins",
            "stop_screens",
        ),
        ("asking_back",),
        ("top",),
    ),
    "pages.parts.bench": (
        ("woken",),
        (
            "choosing",
            "due_now",
            "progress",
            "typing_page",
        ),
        (
            "continue_or_stop",
            "links",
            "log_lines",
            "making_times",
            "sheet_links",
            "sheet_routes",
            "trays",
        ),
        (
            "preparers_key",
            "steps",
            "stops",
        ),
    ),
    "pages.parts.book": (
        (
            "bottle_list",
            "change_told",
            "descriptor_list",
            "kept_of_people",
            "lineage_drawn",
            "panel_material",
            "pickers",
            "pinned_on",
            "target_list",
        ),
        (
            "lineage_shown",
            "made_of",
        ),
    ),
    "pages.parts.decide": (
        (
            "by_worth",
            "evidence_shown",
            "taught_shown",
        ),
        (
            "worn_first",
            "written_down",
        ),
    ),
    "pages.parts.doors": (
        (
            "plain_pages",
            "visitor",
        ),
        (
            "coming_in",
            "guard",
        ),
        ("front",),
    ),
    "pages.parts.findings": (
        (
            "before_opening",
            "facts_told",
            "places_chosen",
            "profile_charts",
            "real_ages",
            "report_links",
            "smelt_besides",
            "what_was_sealed",
        ),
        (
            "path_of_looks",
            "person_by_person",
        ),
        ("verdict_first",),
        ("downloads",),
        (
            "one_pair",
            "preferred",
            "profile_downloads",
        ),
        (
            "file_routes",
            "profile_views",
        ),
        ("moved",),
    ),
    "pages.parts.keeping": (
        (
            "backup_routes",
            "last_copy",
        ),
    ),
    "pages.parts.plan": (
        (
            "bench_fits",
            "filled_from",
            "jobs",
            "plain_table",
            "typed",
        ),
        (
            "bottles_meant",
            "other_designs",
            "several_typed",
            "skin_medium",
            "typed_kept",
            "who_smells",
        ),
        (
            "filled_form",
            "second_fields",
            "several_fields",
        ),
        (
            "exact_list",
            "lines_told",
            "options",
            "size",
            "strip_ages",
            "surer",
        ),
        (
            "separated_draft",
            "several_numbers",
            "two_fields",
        ),
        (
            "as_series",
            "fields",
            "live_numbers",
        ),
    ),
    "pages.parts.skin": (
        ("on_skin",),
        (
            "limits_entered",
            "patch_tests",
            "people_asked",
            "reactions_told",
            "what_waits",
        ),
    ),
    "pages.parts.separate": (
        (
            "mixed",
            "typed_design",
        ),
        ("asked",),
        ("proposed",),
    ),
    "pages.parts.solo": (
        ("hands",),
        (
            "marks_entered",
            "steps_told",
        ),
        (
            "slips",
            "waits",
        ),
        ("screens",),
    ),
    "pages.parts": (
        (
            "countdown",
            "cut_off",
            "house",
            "neutral",
            "palette",
            "small_tables",
            "state",
            "typed_values",
        ),
        (
            "doors",
            "frame",
            "style",
        ),
        (
            "ballot",
            "bench",
            "book",
            "keeping",
            "skin",
        ),
        (
            "adding",
            "decide",
            "solo",
        ),
        (
            "findings",
            "plan",
        ),
        ("separate",),
    ),
}
LAYERS: Final[dict[str, Rows]] = {"": (("evaluation",), ("pages",)), "evaluation": ROWS, **WITHIN}

# What a process loads of evaluation/ in which people answer, what the actions behind every tap ask for, and what the
# screens of the ballot ask for: rooms (a dot at their end), or modules where not all of a room is light.
BALLOT_LOADS: Final = frozenset(
    {
        *("actions.ballot", "actions.begins", "actions.sitting", "clock", "errors", "formulas."),
        *("ground.", "kinds.", "series.", "serving.", "sessions", "skin.", "store.", "values."),
    }
)
BALLOT_MAY_IMPORT: Final = frozenset(
    {
        *("actions.ballot", "actions.begins", "errors", "ground.checks", "ground.terms", "kinds.", "serving.asking"),
        *("serving.dipping", "serving.smelling", "sessions", "store.", "values.descriptors"),
    }
)
BALLOT_SCREEN_MAY_IMPORT: Final = frozenset(
    {
        *("actions.ballot", "actions.begins", "actions.doors", "errors", "ground.markup", "ground.terms", "kinds."),
        *("serving.cautions", "serving.dipping", "serving.smelling", "sessions", "values.descriptors", "values.scales"),
        "wording",
    }
)


def listed(name: str, may: frozenset[str]) -> bool:
    """Is a module of evaluation/ one of those named, or in one of the rooms named (with a dot at their end)?"""
    rest = name.removeprefix("evaluation.")
    return rest in may or f"{rest}." in may or any(one.endswith(".") and rest.startswith(one) for one in may)


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
    lines += _room("pages.parts", "")
    for row in reversed(ROWS):
        plain = [room for room in row if f"evaluation.{room}" not in LAYERS]
        lines += [f"{room}, in no order: {files}" for room in plain if (files := _files(room))]
        lines += [" · ".join(alone)] if (alone := [room for room in plain if not _files(room)]) else []
        for room in row:
            if room not in plain:
                lines += _room(f"evaluation.{room}", "")
    return "\n".join(piece for line in lines for piece in _folded(line))


def _files(room: str) -> str:
    """What lies in a room without rows of its own; "" for what is one file."""
    return " · ".join(sorted(name.split(".")[2] for name in SOURCES if re.fullmatch(rf"evaluation\.{room}\.\w+", name)))


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
