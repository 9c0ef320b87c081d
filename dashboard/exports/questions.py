"""What a group of findings leaves a person to decide, and with what suggestion; no Streamlit."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from analytics import intake
from analytics.job import Fleet
from analytics.records.decided.decision import Decision, What
from analytics.records.decided.marks import row_mark, same_text
from analytics.records.findings import Finding
from analytics.records.gather.exports import Export
from analytics.records.mapping.fields import SHAPES, Field
from analytics.records.mapping.word_lists import LISTED, read_word
from analytics.records.sorts import SORTS
from analytics.records.spelling import Spelling
from analytics.records.tables import BOATS

NAMES = frozenset({"boat_name_unknown", "boat_name_shared"})
"""Sorts of finding that are about what a boat is called."""

ALIKE = 0.5
"""How alike a known name must be to be suggested; a person looks at each."""

_ASKED = re.compile(r"Did you mean '(.+?)'\?")


@dataclass(frozen=True)
class Question:
    """A text that stands in the files, and what it may mean.

    Attributes
    ----------
    found : str
    rows : int
        In how many rows it stands.
    suggested : str
        Blank where nothing is like it.
    field : str
        Of a word, the field.
    """

    found: str
    rows: int
    suggested: str
    field: str = ""


def names(findings: Sequence[Finding], boats: Sequence[str]) -> list[Question]:
    """Names of boats that nobody knows, each with the boat that is most like it."""
    spelling = Spelling(boats, ALIKE)
    rows: dict[str, set[tuple[str, int]]] = {}
    asked: dict[str, str] = {}
    for one in findings:
        if one.sort in NAMES and one.found:
            rows.setdefault(one.found, set()).update((one.file, row) for row in one.rows)
            if match := _ASKED.search(one.remedy):
                asked[one.found] = match[1]
    return [
        Question(found, len(rows[found]), asked.get(found) or spelling.nearest(found) or "")
        for found in sorted(rows, key=lambda found: (-len(rows[found]), found))
    ]


def word_questions(findings: Sequence[Finding], fleet: Fleet) -> list[Question]:
    """Texts of columns that are read by a word list, each with what it may mean."""
    rows: dict[tuple[str, str], set[tuple[str, int]]] = {}
    for one in findings:
        field = field_of(fleet, one)
        if field is not None and one.found:
            rows.setdefault((field.name, one.found), set()).update(
                (one.file, row) for row in one.rows
            )
    return [
        Question(found, len(those), read_word(FIELDS[name].holds, found).read_as, name)
        for (name, found), those in sorted(rows.items(), key=lambda item: (-len(item[1]), item[0]))
    ]


FIELDS: dict[str, Field] = {
    field.name: field
    for shape in SHAPES.values()
    for field in shape.fields
    if field.holds in LISTED
}


def field_of(fleet: Fleet, finding: Finding) -> Field | None:
    """The field that a finding's column is read as, where a word list reads it."""
    export = export_of(fleet, finding.file)
    if export is None:
        return None
    if not export.columns:
        return FIELDS.get(finding.field)
    for name, header in export.columns.items():
        if header == finding.field and name in FIELDS:
            return FIELDS[name]
    return None


def export_of(fleet: Fleet, place: str) -> Export | None:
    """The file or sheet of a finding."""
    return next((one for one in fleet.records.exports if one.place == place), None)


def boats_of(fleet: Fleet) -> list[str]:
    """The boats that are known."""
    return sorted(fleet.records.tables[BOATS.file]["boat"])


def possible(
    group_sort: str, findings: Sequence[Finding], fleet: Fleet, boats: Sequence[str]
) -> list[What]:
    """What can be decided about a group, what settles most first."""
    ways: list[What] = []
    if boats and names(findings, boats):
        ways.append("name")
    # A word decided on holds in all files, and a number means another side in each.
    if group_sort != "side_by_number" and word_questions(findings, fleet):
        ways.append("word")
    if rows_to_choose(findings, fleet):
        ways += ["cell", "leave_out"]
    if group_sort in SORTS:
        ways.append("keep")
    return ways


def rows_to_choose(
    findings: Sequence[Finding], fleet: Fleet, most: int = 200
) -> list[tuple[str, int, str]]:
    """File, row and column of the first rows of a group that a file of the fleet has."""
    places = {one.place for one in fleet.records.exports}
    chosen: dict[tuple[str, int], str] = {}
    for one in findings:
        if one.file in places:
            for row in one.rows:
                chosen.setdefault((one.file, row), one.field)
                if len(chosen) >= most:
                    break
    return [(file, row, field) for (file, row), field in chosen.items()]


def of_row(what: What, fleet: Fleet, place: str, row: int) -> Decision | None:
    """A decision about a row, as it stands in the file; None where there is no such row."""
    found = intake.row_as_it_stands(fleet, place, row)
    if found is None:
        return None
    export, cells = found
    file, sheet = pattern_of(export)
    return Decision(what, file=file, sheet=sheet).of_row(export.header, cells)


def rows_alike(fleet: Fleet, decision: Decision, place: str, row: int) -> int:
    """How many rows a decision about a row is about: all that hold the same cells."""
    export = export_of(fleet, place)
    if export is None:
        return 0
    cells = next(those for at, those in export.rows if at == row)
    mark, filled = row_mark(export.header, cells), _filled(cells)
    of_decision = [
        one for one in fleet.records.exports if decision.is_of(*_file_and_sheet(one.place))
    ]
    return sum(
        # The mark is dear: worked out only where the cells are those, in whatever order.
        _filled(those) == filled and row_mark(one.header, those) == mark
        for one in of_decision
        for _, those in one.rows
    )


def _filled(cells: Sequence[str]) -> set[str]:
    return {cell.strip() for cell in cells} - {""}


def pattern_of(export: Export) -> tuple[str, str]:
    """The file, with a * for what changes from one export to the next, and the sheet."""
    named = export.source if export.columns else export.place
    return _file_and_sheet(named)


def _file_and_sheet(place: str) -> tuple[str, str]:
    file, _, sheet = place.partition(", sheet ")
    return file, sheet


def with_cell(decision: Decision, header: str, read_as: str) -> Decision:
    """The decision, about one cell of its row."""
    before = next(
        (cell for name, cell in decision.cells if same_text(name) == same_text(header)), ""
    )
    return replace(decision, field=header, found=before, read_as=read_as)


def keeping(sort: str, findings: Sequence[Finding], fleet: Fleet) -> list[Decision]:
    """That all findings of a sort are kept as they stand, one decision for each file."""
    places: dict[tuple[str, str], None] = {}
    for one in findings:
        export = export_of(fleet, one.file)
        places[pattern_of(export) if export else (one.file, "")] = None
    return [Decision("keep", sort=sort, file=file, sheet=sheet) for file, sheet in places]


def kept(sort: str, findings: Sequence[Finding], fleet: Fleet) -> str:
    """Who keeps all of a group as it stands; blank where nobody does, or not of all."""
    told = ""
    for one in findings:
        export = export_of(fleet, one.file)
        file, sheet = pattern_of(export) if export else (one.file, "")
        decision = fleet.records.decisions.kept(sort, file, sheet, found=one.found)
        if decision is None:
            return ""
        told = decision.said()
    return told


def signed(decisions: Sequence[Decision], by: str, why: str, on: date) -> list[Decision]:
    """Decisions with who made them, when and why."""
    return [replace(one, by=by.strip(), why=why.strip(), on=on) for one in decisions]
