"""What was spoilt, where, and what should be made of it: the text of key.json."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from analytics.records.sorts import SORTS
from analytics.sample.mess.clean import Clean, CleanLife
from analytics.sample.mess.pages import Line, Page

CATALOGUE = tuple(SORTS)[:52]
"""The sorts of defect that people's records have, in the order of the catalogue."""

Expect = Literal["used", "window", "merged", "rejected", "ignored", "told"]
"""What should become of the place: read rightly, read as a window of days, put together with
another row, set aside until somebody decides, left out, or used and told."""

Fate = Literal["exact", "window", "changed", "lost"]
"""How a clean life can be got back: as it is, within a window or without its hours, with
something else in it (see `changed`), or only after somebody has decided."""

_MEANING = {
    "defects": "row: of the file or sheet, the first being 1; written: the cell; true: what the "
    "clean folder or the truth says; expect: used, window, merged, rejected, ignored or told",
    "boats": "the boats of the clean folder and the names they bear in these files",
    "lives": "line of the clean parts.csv, file, sheet, rows that tell of it, and whether it can "
    "be got back: exact, window, changed or lost (set aside until somebody decides); where a part "
    "was last seen sound on the day it was fitted, the job sheets do not say so",
    "changed": "what a reader should make of the lives whose fate is 'changed'",
    "extras": "rows that tell of a life which the clean folder does not have",
}


@dataclass(frozen=True)
class Planted:
    """A defect in its place; the row is known only when the page is complete."""

    sort: str
    page: Page
    line: Line
    column: str
    true: str
    expect: Expect
    boat: str = ""
    position: str = ""
    kind: str = ""


def key_text(
    clean: Clean,
    pages: Sequence[Page],
    planted: Iterable[Planted],
    boats: Iterable[Mapping[str, str]],
    fates: Mapping[int, Fate],
    changed: Iterable[Mapping[str, Any]],
    extras: Sequence[Line],
) -> str:
    """The text of key.json: one defect, boat and life a line."""
    numbers = {id(page): page.numbers() for page in pages}
    head = {
        "invented": True,
        "note": "Demo data, invented: no such boats, people or places.",
        "scenario": clean.fleet.scenario.name,
        "seed": clean.fleet.seed,
        "boats_invented": len(clean.boats),
        "meaning": _MEANING,
    }
    text = json.dumps(head, indent=1, ensure_ascii=False)
    lists: dict[str, Iterable[Any]] = {
        "defects": sorted(
            (_defect(one, numbers[id(one.page)]) for one in planted), key=lambda one: one["defect"]
        ),
        "boats": boats,
        "changed": changed,
        "extras": _extras(pages, extras),
        "lives": _lives(pages, clean.lives, fates),
    }
    body = "".join(f',\n "{name}": [{_listed(items)}\n ]' for name, items in lists.items())
    return text.removesuffix("\n}") + body + "\n}\n"


def _listed(items: Iterable[Any]) -> str:
    return ",".join(f"\n  {json.dumps(item, ensure_ascii=False)}" for item in items)


def _defect(one: Planted, numbers: Mapping[int, int]) -> dict[str, Any]:
    return {
        "defect": CATALOGUE.index(one.sort) + 1,
        "sort": one.sort,
        "file": one.page.file,
        "sheet": one.page.sheet,
        "row": numbers[id(one.line)],
        "column": one.column,
        "written": one.line.text(one.column),
        "true": one.true,
        "expect": one.expect,
        "boat": one.boat,
        "position": one.position,
        "kind": one.kind,
    }


def _extras(pages: Sequence[Page], extras: Sequence[Line]) -> list[dict[str, Any]]:
    wanted = {id(line) for line in extras}
    return [
        {"file": page.file, "sheet": page.sheet, "row": number}
        for page in pages
        for line, number in page.numbers().items()
        if line in wanted
    ]


def _lives(
    pages: Sequence[Page], lives: Sequence[CleanLife], fates: Mapping[int, Fate]
) -> list[list[Any]]:
    told: dict[int, tuple[Page, list[int]]] = {}
    for page in pages:
        numbers = page.numbers()
        for line in page.lines:
            for life in line.lives:
                told.setdefault(life.row, (page, []))[1].append(numbers[id(line)])
    return [
        [
            life.row,
            told[life.row][0].file,
            told[life.row][0].sheet,
            told[life.row][1],
            fates.get(life.row, "exact"),
        ]
        for life in lives
    ]
