"""Decisions applied to the rows of one file or sheet; the file itself stays as it is."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from analytics.records.decided.decision import Decision, Decisions
from analytics.records.decided.document import FILE
from analytics.records.decided.marks import row_mark, row_marks, same_text, stripped
from analytics.records.findings import Finding

Rows = list[tuple[int, list[str]]]
"""Number of the row in the file, and its cells."""

_SORT = "decided"


@dataclass(frozen=True)
class Replayed:
    """Rows with the decisions applied.

    Attributes
    ----------
    rows : list of (int, list of str)
        Without those left out; a row that no decision changes is the one given.
    findings : list of Finding
        One for each decision applied, and for each that found its row and could
        not be applied.
    left_out : dict of int to Finding
        By the row's number.
    met : frozenset of int
        Numbers of the decisions whose row is among the rows given.
    """

    rows: Rows
    findings: list[Finding]
    left_out: dict[int, Finding]
    met: frozenset[int]


def apply(
    decisions: Decisions, place_file: str, place_sheet: str, header: Sequence[str], rows: Rows
) -> Replayed:
    """Apply what was decided about cells and rows.

    Where several rows hold the very same cells, a decision is about all of
    them.

    Parameters
    ----------
    decisions : Decisions
    place_file, place_sheet : str
        The user's file, and the sheet where there is one.
    header : sequence of str
        The headers as they stand.
    rows : list of (int, list of str)
        Every row below the header.
    """
    about_rows = [
        (number, one)
        for number, one in decisions.in_force()
        if one.what in ("cell", "leave_out") and one.is_of(place_file, place_sheet)
    ]
    if not about_rows:
        return Replayed(rows, [], {}, frozenset())
    place = f"{place_file}, sheet {place_sheet}" if place_sheet else place_file
    found = _recognised(about_rows, header, rows)
    replay = _Replay(place, header, list(rows))
    # A cell corrected on a row that is left out would be told in vain.
    about_rows.sort(key=lambda pair: pair[1].what != "leave_out")
    for number, one in about_rows:
        if at := found.get(number):
            replay.leave_out(number, one, at) if one.what == "leave_out" else replay.read_cell(
                number, one, at
            )
    kept = [row for row in replay.rows if row[0] not in replay.left_out]
    return Replayed(kept, replay.findings, replay.left_out, frozenset(found))


def unmet(decisions: Decisions, replayed: Iterable[Replayed]) -> list[Finding]:
    """A finding for each decision about a row that is in no file of this export any more.

    Parameters
    ----------
    decisions : Decisions
    replayed : iterable of Replayed
        Of every file and sheet: one decision may be about several files.
    """
    met = {number for one in replayed for number in one.met}
    return [
        Finding(
            f"{one.file}, sheet {one.sheet}" if one.sheet else one.file,
            None,
            one.field,
            _readable(one),
            "the row of a decision",
            "noted",
            f"No row of this export holds these cells any more, so decision {number} of {FILE} "
            f"({one.said()}) is not applied. If the row has changed, decide again; if it is "
            "gone for good, remove the decision.",
            _SORT,
        )
        for number, one in decisions.in_force()
        if one.what in ("cell", "leave_out") and number not in met
    ]


class _Replay:
    def __init__(self, place: str, header: Sequence[str], rows: Rows) -> None:
        self.place, self.rows = place, rows
        self.columns: dict[str, list[int]] = defaultdict(list)
        for at, name in enumerate(header):
            self.columns[same_text(name)].append(at)
        self.findings: list[Finding] = []
        self.left_out: dict[int, Finding] = {}

    def leave_out(self, number: int, one: Decision, at: list[int]) -> None:
        lines = [self.rows[place][0] for place in at if self.rows[place][0] not in self.left_out]
        if not lines:
            return
        finding = Finding(
            self.place,
            lines[0],
            "",
            _readable(one),
            "a row that counts",
            "ignored",
            f"Left out, as {one.said()}. Remove decision {number} of {FILE} to have it read.",
            _SORT,
            tuple(lines[1:]),
        )
        self.findings.append(finding)
        self.left_out |= dict.fromkeys(lines, finding)

    def read_cell(self, number: int, one: Decision, at: list[int]) -> None:
        columns = self.columns.get(same_text(one.field), [])
        lines = [self.rows[place][0] for place in at]
        if all(line in self.left_out for line in lines):
            return
        if len(columns) != 1:
            stands = "no such column" if not columns else "several columns of this name"
            self.not_applied(number, one, lines, stands, "one column of this name")
            return
        column = columns[0]
        changed, others = [], []
        for place in at:
            line, cells = self.rows[place]
            cell = cells[column] if column < len(cells) else ""
            if stripped(cell) != stripped(one.found):
                others.append((line, cell))
                continue
            cells = cells + [""] * (column + 1 - len(cells))
            cells[column] = one.read_as
            self.rows[place] = (line, cells)
            changed.append(line)
        if changed:
            self.findings.append(
                Finding(
                    self.place,
                    changed[0],
                    one.field,
                    one.found,
                    f"'{one.read_as}'" if one.read_as else "a blank cell",
                    "noted",
                    f"Read so, as {one.said()}; the file is as it was. Remove decision {number} "
                    f"of {FILE} to have the cell read as it stands.",
                    _SORT,
                    tuple(changed[1:]),
                )
            )
        if others:
            lines, stands = [line for line, _ in others], others[0][1]
            self.not_applied(number, one, lines, stands, f"'{one.found}'")

    def not_applied(
        self, number: int, one: Decision, lines: list[int], stands: str, expected: str
    ) -> None:
        self.findings.append(
            Finding(
                self.place,
                lines[0],
                one.field,
                stands,
                expected,
                "noted",
                f"Decision {number} of {FILE} ({one.said()}) is not applied: decide again, or "
                "remove it.",
                _SORT,
                tuple(lines[1:]),
            )
        )


def _readable(one: Decision) -> str:
    if one.what == "cell" and one.found:
        return one.found
    cells = ", ".join(cell for _, cell in one.cells if cell.strip())
    return cells or one.row_mark


def _recognised(
    about_rows: Sequence[tuple[int, Decision]], header: Sequence[str], rows: Rows
) -> dict[int, list[int]]:
    """Places, among the rows, of those that each decision is about."""
    wanted = {one.row_mark for _, one in about_rows}
    by_mark: dict[str, list[int]] = defaultdict(list)
    for at, mark in enumerate(row_marks(header, (cells for _, cells in rows))):
        if mark in wanted:
            by_mark[mark].append(at)
    found = {number: by_mark[one.row_mark] for number, one in about_rows if by_mark[one.row_mark]}
    left = [(number, one) for number, one in about_rows if number not in found and one.cells]
    return found | _recognised_by_columns_in_common(left, header, rows)


def _recognised_by_columns_in_common(
    about_rows: Sequence[tuple[int, Decision]], header: Sequence[str], rows: Rows
) -> dict[int, list[int]]:
    """The same where columns came or went since: one row must be like it in all the others."""
    now = _columns(header)
    by_common: dict[tuple[str, ...], list[tuple[int, Decision]]] = defaultdict(list)
    for number, one in about_rows:
        before = _columns([name for name, _ in one.cells])
        common = tuple(sorted(before.keys() & now.keys()))
        if (before.keys() != now.keys()) and _tells(one, before, common):
            by_common[common].append((number, one))
    found = {}
    for common, those in by_common.items():
        places = [now[name] for name in common]
        texts = ([_cell(cells, place) for place in places] for _, cells in rows)
        by_mark: dict[str, list[int]] = defaultdict(list)
        wanted = {}
        for number, one in those:
            before = _columns([name for name, _ in one.cells])
            wanted[number] = row_mark(common, [one.cells[before[name]][1] for name in common])
        sought = set(wanted.values())
        for at, mark in enumerate(row_marks(common, texts)):
            if mark in sought:
                by_mark[mark].append(at)
        for number, mark in wanted.items():
            if len({row_mark(header, rows[at][1]) for at in by_mark[mark]}) == 1:
                found[number] = by_mark[mark]
    return found


def _columns(header: Sequence[str]) -> Mapping[str, int]:
    """Place of each header that stands there once."""
    names = [same_text(name) for name in header]
    times = Counter(names)
    return {name: at for at, name in enumerate(names) if name and times[name] == 1}


def _tells(one: Decision, before: Mapping[str, int], common: Sequence[str]) -> bool:
    """True where more than half of what the row held stands in columns that are still there."""
    filled = sum(1 for _, cell in one.cells if cell.strip())
    return 2 * sum(1 for name in common if one.cells[before[name]][1].strip()) > filled


def _cell(cells: Sequence[str], place: int) -> str:
    return cells[place] if place < len(cells) else ""
