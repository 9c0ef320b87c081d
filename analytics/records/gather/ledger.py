"""Every row of the mapped exports by one number, and the rows of the tables made of them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from analytics.records.cells import CheckedRows
from analytics.records.findings import Finding


@dataclass(frozen=True)
class Ledger:
    """The rows of the mapped exports, each with a number of its own: its line.

    Attributes
    ----------
    places : list of str
        File and sheet of each source.
    starts : list of int
        Line before the first of each source.
    rows : list of int
        Row of the file by line; line 1 is first.
    out : dict of int to Finding
        Lines that never came to a table, and the finding that says what became of them.
    used : set of int
        Lines that may come to no row of their own and are used all the same, such as inspections.
    findings : list of Finding
        Of everything on the way, each with the user's file and row.
    """

    places: list[str] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    source: list[int] = field(default_factory=list)
    out: dict[int, Finding] = field(default_factory=dict)
    used: set[int] = field(default_factory=set)
    findings: list[Finding] = field(default_factory=list)

    def add(self, place: str, rows: Sequence[int]) -> range:
        """Number the rows of a source; returns their lines."""
        before = len(self.rows)
        self.places.append(place)
        self.starts.append(before)
        self.rows.extend(rows)
        self.source.extend([len(self.places) - 1] * len(rows))
        return range(before + 1, before + 1 + len(rows))

    def where(self, line: int) -> tuple[str, int]:
        """The file, with its sheet, and the row of a line."""
        return self.places[self.source[line - 1]], self.rows[line - 1]

    def tell(self, line: int, finding: Finding) -> Finding:
        """A finding about a line, and others of which the same is true, with their place."""
        return self._tell(line, finding)[0]

    def _tell(self, line: int, finding: Finding) -> list[Finding]:
        by_place: dict[str, list[int]] = defaultdict(list)
        for one in (line, *finding.also):
            place, row = self.where(one)
            by_place[place].append(row)
        told = []
        for place, rows in by_place.items():
            first, *also = sorted(set(rows))
            told.append(replace(finding, file=place, row=first, also=tuple(also)))
        self.findings.extend(told)
        return told

    def leave_out(self, line: int, finding: Finding) -> None:
        """Say what became of a line that comes to no table, and of the others in `also`."""
        told = self._tell(line, finding)
        for one in (line, *finding.also):
            self.out.setdefault(one, told[0])


@dataclass(frozen=True)
class Trace:
    """From the rows of a table that was put together to the rows of the user's files.

    Attributes
    ----------
    ledger : Ledger
    lines : sequence of tuple of int
        By row of the table less 1: the lines of which it was made, the one that
        findings point at first.
    counts : bool
        False where the rows of the files are of another table, and are used or
        not by what became of them there.
    """

    ledger: Ledger
    lines: Sequence[tuple[int, ...]]
    counts: bool = True

    def located(self, finding: Finding) -> list[Finding]:
        """A finding about the table as findings about the user's files, one each."""
        if finding.row is None and not finding.also:
            return [finding]
        by_place: dict[str, list[int]] = defaultdict(list)
        for row in finding.rows:
            place, its_row = self.ledger.where(self.lines[row - 1][0])
            by_place[place].append(its_row)
        found = []
        for place, rows in by_place.items():
            first, *also = sorted(set(rows))
            found.append(replace(finding, file=place, row=first, also=tuple(also)))
        return found

    def named(self, row: int) -> str:
        """A row of the table as findings name it: by the file and row of the one it points at."""
        place, at = self.ledger.where(self.lines[row - 1][0])
        return f"row {at} of {place}"

    def source(self, row: int) -> str:
        """Every file and row of which a row was made, `; ` between them."""
        return "; ".join(
            f"{place}:{at}" for place, at in map(self.ledger.where, self.lines[row - 1])
        )


def fates(
    ledger: Ledger,
    traces: Mapping[str, Trace],
    checked: Mapping[str, CheckedRows],
    used: Mapping[str, Iterable[int]],
    merged: Mapping[str, Mapping[int, Finding]],
) -> dict[int, tuple[str, Finding | None]]:
    """What became of every line: used where any row made of it is, and else what befell that row.

    Parameters
    ----------
    used : mapping of str to iterable of int
        By table, the rows that were used.
    merged : mapping of str to (mapping of int to Finding)
        By table, the rows that were merged into others.
    """
    fate: dict[int, tuple[str, Finding | None]] = {}
    traces = {table: trace for table, trace in traces.items() if trace.counts}

    def settle(table: str, rows: Iterable[int], what: str, why: Mapping[int, Finding]) -> None:
        lines = traces[table].lines
        for row in rows:
            for line in lines[row - 1]:
                fate.setdefault(line, (what, why.get(row)))

    for table in traces:
        settle(table, used[table], "used", {})
    for table in traces:
        settle(table, merged.get(table, {}), "merged", merged.get(table, {}))
    for table in traces:
        settle(table, checked[table].rejected, "rejected", checked[table].rejected)
    for table in traces:
        settle(table, checked[table].ignored, "ignored", checked[table].ignored)
    for line, finding in ledger.out.items():
        fate.setdefault(line, (finding.done if finding.done in _FATES else "ignored", finding))
    for line in ledger.used:
        fate.setdefault(line, ("used", None))
    return fate


_FATES = ("merged", "rejected", "ignored")
