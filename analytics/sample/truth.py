"""The truth behind an invented fleet, as the text of truth.json.

One boat, one part and one defect a line, so that two versions of the file can be compared.
"""

import json
import math
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

from analytics.sample.boats import Boat
from analytics.sample.clearances import ClearanceRow
from analytics.sample.defects import Defect
from analytics.sample.lives import NEVER
from analytics.sample.records import PartRow, Reading, iso
from analytics.sample.scenario import Scenario

TRUE_PART_COLUMNS = (
    "row",
    "boat",
    "position",
    "kind",
    "fitted_on",
    "scale",
    "wear_out",
    "early_days",
    "accident_years",
    "bad_lot",
    "failed_on",
    "cause",
    "ended_on",
    "ended",
)

TRUE_READING_COLUMNS = ("row", "part_row", "true_mm")

_MEANING = {
    "row": "line in parts.csv; the header is line 1",
    "scale": "Weibull scale on the kind's clock after the life factors (years or hours)",
    "wear_out": "life until wear-out on the kind's clock, had nothing interfered; for a bearing "
    "also the shaft hours at which its clearance reaches the renew limit, along a straight line",
    "early_days": "days until an early failure (for the hours clock: of a year's even running)"
    "; null: fitted well",
    "accident_years": "season years until an accident, had nothing interfered",
    "failed_on": "day on which the first cause struck, seen or not; null: not while watched",
    "cause": "the cause of failed_on",
    "ended_on": "day of removal; null: still fitted, or sold with the boat",
    "ended": "what really ended the life; hidden: failed in place, not yet seen",
    "part_row": "line in parts.csv of the part that was measured",
    "true_mm": "clearance that was truly there; the reading has an error about it",
}


def truth_text(
    scenario: Scenario,
    seed: int,
    boats: Sequence[Boat],
    rows: Sequence[PartRow],
    readings: Sequence[Reading],
    clearances: Sequence[ClearanceRow],
    defects: Sequence[Defect],
) -> str:
    """The text of truth.json."""
    part_lines = {id(row): number for number, row in enumerate(rows, start=2)}
    reading_lines = {id(reading): number for number, reading in enumerate(readings, start=2)}
    life_lines = {id(row.life): part_lines[id(row)] for row in rows if not row.copied}
    head = {
        "invented": True,
        "scenario": scenario.name,
        "seed": seed,
        "boats_invented": len(boats),
        "parameters": asdict(scenario),
        "part_columns": TRUE_PART_COLUMNS,
        "reading_columns": TRUE_READING_COLUMNS,
        "meaning": _MEANING,
    }
    text = json.dumps(head, indent=1, ensure_ascii=False, default=date.isoformat)
    lists = {
        "defects": (_true_defect(one, part_lines, reading_lines) for one in defects),
        "boats": (_true_boat(boat) for boat in boats),
        "parts": (_true_part(row, part_lines[id(row)]) for row in rows if not row.copied),
        "readings": (
            [number, life_lines[id(one.life)], round(one.true_mm, 3)]
            for number, one in enumerate(clearances, start=2)
        ),
    }
    body = "".join(f',\n "{name}": [{_lines(items)}\n ]' for name, items in lists.items())
    return text.removesuffix("\n}") + body + "\n}\n"


def _lines(items: Iterable[Any]) -> str:
    texts = (json.dumps(item, ensure_ascii=False, separators=(", ", ": ")) for item in items)
    return ",".join(f"\n  {text}" for text in texts)


def _true_part(row: PartRow, number: int) -> list[Any]:
    life, watched_to = row.life, row.boat.seen_to
    places = 4 if life.kind.clock == "years" else 1
    struck = life.fails_on <= (watched_to if life.ended_on is None else life.ended_on)
    hidden = struck and life.ended_on is None
    return [
        number,
        row.boat.name,
        row.line.position,
        life.kind.name,
        iso(life.fitted_on),
        round(life.scale, places),
        round(life.wear_out, places),
        None if life.early_days is None else round(life.early_days, 1),
        None if math.isinf(life.accident_years) else round(life.accident_years, 2),
        life.bad_lot,
        iso(life.fails_on) if struck and life.fails_on != NEVER else None,
        life.cause if struck else None,
        None if life.ended_on is None else iso(life.ended_on),
        "hidden" if hidden else life.ended,
    ]


def _true_boat(boat: Boat) -> dict[str, Any]:
    return {
        "boat": boat.name,
        "class": boat.boat_class.name,
        "shaft_mm": boat.boat_class.shaft_mm,
        "seal": boat.seal,
        "built_on": iso(boat.built),
        "seen_from": iso(boat.seen_from),
        "limits_years": dict(boat.limits_years),
        "conditions": {line.position: line.conditions for line in boat.lines},
    }


def _true_defect(
    defect: Defect, part_lines: dict[int, int], reading_lines: dict[int, int]
) -> dict[str, Any]:
    in_parts = isinstance(defect.target, PartRow)
    lines = part_lines if in_parts else reading_lines
    return {
        "defect": defect.name,
        "file": "parts.csv" if in_parts else "hours.csv",
        "row": lines[id(defect.target)],
        "column": defect.column,
        "written": defect.written,
        "true": defect.true,
    }
