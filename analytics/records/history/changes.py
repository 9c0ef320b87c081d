"""What is new, changed or gone in an export, beside the one accepted before."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest

import numpy as np
import pandas as pd

from analytics.records.decided.marks import stripped
from analytics.records.findings import Finding
from analytics.records.history.headers import (
    Hashes,
    HeaderChange,
    Places,
    Slot,
    Texts,
    renamed,
    row_hashes,
    slots,
)
from analytics.records.history.rows import ROW_COLUMNS, cells_of

COUNT_COLUMNS = ["source", "before", "now", "same", "new", "changed", "vanished"]
CHANGED_COLUMNS = [
    *("source", "key", "place_before", "row_before", "place", "row"),
    "differences",
]

_STEP = 50_000
"""Rows unpacked at a time: far more lists at once would be slow to keep."""

MOST_PAIRS = 10_000
"""Rows of one key are paired by likeness up to this many pairs, and in the order of their cells
beyond."""


@dataclass(frozen=True)
class Changes:
    """What has changed from one export to the next.

    Attributes
    ----------
    same : int
        Rows that stand in both.
    new, vanished : DataFrame
        Rows of the one export alone, columns `rows.ROW_COLUMNS`.
    changed : DataFrame
        Rows of one key with other cells, columns `CHANGED_COLUMNS`;
        `differences` is a tuple of (header, before, now) for each cell.
    headers : tuple of HeaderChange
        A column that was dropped or added makes no row a changed one, and one
        renamed is compared under both names.
    counts : DataFrame
        Columns `COUNT_COLUMNS`: for each source, `same`, `changed` and
        `vanished` add up to `before`; `same`, `changed` and `new` to `now`.
    """

    same: int
    new: pd.DataFrame
    changed: pd.DataFrame
    vanished: pd.DataFrame
    headers: tuple[HeaderChange, ...]
    counts: pd.DataFrame

    @property
    def none(self) -> bool:
        """True where nothing has changed."""
        return not (len(self.new) or len(self.changed) or len(self.vanished) or self.headers)

    def new_told(self) -> str:
        """How many rows are new, and how many of those are not used."""
        unused = int(self.new["fate"].isin(["ignored", "rejected"]).sum())
        aside = f" ({unused:,} of them not used: see what was found)" if unused else ""
        return f"{len(self.new):,} new{aside}"

    def findings(self) -> list[Finding]:
        """A finding for each header changed, and for each source of which nothing is left."""
        found = [
            Finding(
                one.source,
                None,
                one.now or one.before,
                "" if one.what == "dropped" else one.now or _NO_HEADER,
                _NEITHER if one.what == "added" else one.before or _NO_HEADER,
                "noted",
                _REMEDIES[one.what],
                "header_changed",
            )
            for one in self.headers
        ]
        gone = self.counts[(self.counts["now"] == 0) & (self.counts["before"] > 0)]
        return found + [
            Finding(
                str(source),
                None,
                "",
                "no rows",
                f"the {before} rows of the export accepted before, or more",
                "noted",
                "If it was left out by mistake, export it again.",
                "file_missing",
            )
            for source, before in zip(gone["source"], gone["before"], strict=True)
        ]


_NO_HEADER = "a column without a header"
_NEITHER = "no such column, as in the export accepted before"
_REMEDIES = {
    "renamed": "It holds what the other held, and is compared under both names. Choose it in the "
    "mapping if it is to be read.",
    "dropped": "The column is gone: what was read from it is not known any more. Export it again, "
    "or change the mapping.",
    "added": "The column is new and not compared. Choose it in the mapping if it is to be read.",
}


def changes(before: pd.DataFrame, now: pd.DataFrame) -> Changes:
    """Compare two exports, source by source.

    Rows that hold the same cells are the same, as often as both exports hold
    them, in whatever order rows and columns stand. Of the others those with the
    same key are one row that has changed; where several share a key, the ones
    most alike are paired. What is left is new or gone.

    Parameters
    ----------
    before, now : DataFrame
        Columns `rows.ROW_COLUMNS`.

    Raises
    ------
    FleetError
        If the column `cells` does not hold lists of texts.
    """
    parts_before, parts_now = _by_source(before), _by_source(now)
    none = before.iloc[:0]
    new, vanished, changed, headers, counts = [none], [none], [], [], []
    for source in sorted(parts_before.keys() | parts_now.keys()):
        old = _Side(parts_before.get(source, none))
        fresh = _Side(parts_now.get(source, none))
        one = _Comparison(source, old, fresh)
        gone, come = old.rows.iloc[one.left_before], fresh.rows.iloc[one.left_now]
        vanished.append(gone)
        new.append(come)
        changed += one.changed
        headers += one.headers
        same = len(old.rows) - len(gone) - len(one.changed)
        row = (len(old.rows), len(fresh.rows), same, len(come), len(one.changed), len(gone))
        counts.append((source, *row))
    table = pd.DataFrame(counts, columns=COUNT_COLUMNS)
    return Changes(
        int(table["same"].sum()),
        _joined(new),
        pd.DataFrame(changed, columns=CHANGED_COLUMNS),
        _joined(vanished),
        tuple(headers),
        table,
    )


def _by_source(table: pd.DataFrame) -> dict[str, pd.DataFrame]:
    return {str(source): part for source, part in table.groupby("source", sort=True)}


def _joined(parts: Sequence[pd.DataFrame]) -> pd.DataFrame:
    filled = [part for part in parts if len(part)] or list(parts[:1])
    return pd.concat(filled, ignore_index=True)[ROW_COLUMNS]


class _Side:
    """The rows of one source in one of the exports, in the order of place and row."""

    def __init__(self, part: pd.DataFrame) -> None:
        places, _ = pd.factorize(part["place"], sort=True)
        part = part.iloc[np.lexsort((part["row"].to_numpy(), places))]
        is_header = (part["fate"] == "header").to_numpy()
        self.rows = part[~is_header].reset_index(drop=True)
        titles = part[is_header]
        self.headers = dict(zip(titles["place"], cells_of(titles), strict=True))
        self.slots: dict[Slot, str] = {}
        for header in self.headers.values():
            for slot, text in zip(slots(header), header, strict=True):
                self.slots.setdefault(slot, text.strip())

    def named(self) -> list[tuple[str, str, int]]:
        """Key, place and row of each row."""
        columns = (self.rows[name].tolist() for name in ("key", "place", "row"))
        return list(zip(*columns, strict=True))

    def columns(self, at: Places) -> dict[Slot, Texts]:
        """Stripped cells of the rows at these places, by slot; blank where a file has none."""
        rows = self.rows.iloc[at]
        where = {
            place: {slot: position for position, slot in enumerate(slots(header))}
            for place, header in self.headers.items()
        }
        found = {slot: np.full(len(rows), "", dtype=object) for slot in self.slots}
        for place, ats in rows.groupby("place", sort=False).indices.items():
            positions = where.get(str(place), {})
            for begin in range(0, len(ats), _STEP):
                some = ats[begin : begin + _STEP]
                # A row longer than the header is of no file that `place_rows` wrote.
                columns = list(zip_longest(*cells_of(rows.iloc[some]), fillvalue=""))
                for slot, position in positions.items():
                    if position < len(columns):
                        found[slot][some] = _stripped_all(columns[position])
        return found


def _stripped_all(texts: Sequence[str]) -> list[str]:
    clean = list(map(str.strip, texts))
    return clean if "".join(clean).isascii() else list(map(stripped, clean))


def _shared(order: Sequence[Slot]) -> list[list[int]]:
    groups: dict[str, list[int]] = defaultdict(list)
    for at, (name, _) in enumerate(order):
        groups[name].append(at)
    return [group for group in groups.values() if len(group) > 1]


class _Comparison:
    """One source in two exports.

    Attributes
    ----------
    left_before, left_now : ndarray of int
        Places of the rows that have no counterpart.
    changed : list of tuple
        Rows of `CHANGED_COLUMNS`.
    headers : list of HeaderChange
    """

    def __init__(self, source: str, before: _Side, now: _Side) -> None:
        self.source, self.before, self.now = source, before, now
        self.changed: list[tuple[object, ...]] = []
        self.headers: list[HeaderChange] = []
        self.left_before = np.arange(len(before.rows))
        self.left_now = np.arange(len(now.rows))
        if not (before.headers and now.headers):
            return
        written = {tuple(one) for side in (before, now) for one in side.headers.values()}
        if len(written) == 1:
            # Cells in one order: most rows are the same letter for letter.
            self.leave_out_same(
                *(row_hashes([side.rows["cells"].to_numpy()]) for side in (before, now))
            )
        if not (len(self.left_before) and len(self.left_now)) and len(written) == 1:
            return
        all_before, all_now = before.columns(self.left_before), now.columns(self.left_now)
        names = self.told_headers(all_before, all_now)
        order = sorted(slot for slot in now.slots if names.get(slot, slot) in before.slots)
        if not order:
            return
        groups = _shared(order)
        cells_before = _grouped([all_before[names.get(slot, slot)] for slot in order], groups)
        cells_now = _grouped([all_now[slot] for slot in order], groups)
        compared_before, compared_now = self.left_before, self.left_now
        self.leave_out_same(row_hashes(cells_before), row_hashes(cells_now))
        rows_before = _rows(cells_before, compared_before, self.left_before)
        rows_now = _rows(cells_now, compared_now, self.left_now)
        self.pair_by_key(rows_before, rows_now, [now.slots[slot] for slot in order])

    def leave_out_same(self, before: Hashes, now: Hashes) -> None:
        """Leave out the rows that both exports hold, each as often as both hold it."""
        codes, _ = pd.factorize(np.concatenate([before, now]))
        old, fresh = codes[: len(before)], codes[len(before) :]
        number = int(codes.max(initial=-1)) + 1
        times_before = np.bincount(old, minlength=number)
        times_now = np.bincount(fresh, minlength=number)
        self.left_before = self.left_before[_nth(old) >= times_now[old]]
        self.left_now = self.left_now[_nth(fresh) >= times_before[fresh]]

    def told_headers(
        self, all_before: Mapping[Slot, Texts], all_now: Mapping[Slot, Texts]
    ) -> dict[Slot, Slot]:
        """Slots before by slots of now, where a column was renamed; notes every change."""
        before, now = self.before.slots, self.now.slots
        dropped = [slot for slot in before if slot not in now]
        added = [slot for slot in now if slot not in before]
        names: dict[Slot, Slot] = {}
        if dropped and added:
            names = renamed(all_before, all_now, dropped, added)
        for slot in added:
            if slot in names:
                was = before[names[slot]]
                self.headers.append(HeaderChange(self.source, "renamed", was, now[slot]))
        for slot in dropped:
            if slot not in names.values():
                self.headers.append(HeaderChange(self.source, "dropped", before[slot], ""))
        for slot in added:
            if slot not in names:
                self.headers.append(HeaderChange(self.source, "added", "", now[slot]))
        return names

    def pair_by_key(
        self,
        rows_before: Mapping[int, list[str]],
        rows_now: Mapping[int, list[str]],
        shown: Sequence[str],
    ) -> None:
        """Take rows of one key for one row that has changed."""
        before, now = self.before.named(), self.now.named()
        by_key: dict[str, list[int]] = defaultdict(list)
        for at in self.left_before.tolist():
            if key := before[at][0]:
                by_key[key].append(at)
        theirs: dict[str, list[int]] = defaultdict(list)
        for at in self.left_now.tolist():
            if (key := now[at][0]) in by_key:
                theirs[key].append(at)
        paired_before, paired_now = [], []
        for key, ats in theirs.items():
            for old, new in _pairs(by_key[key], ats, rows_before, rows_now):
                paired_before.append(old)
                paired_now.append(new)
                cells = zip(shown, rows_before[old], rows_now[new], strict=True)
                differences = tuple(cell for cell in cells if cell[1] != cell[2])
                self.changed.append(
                    (self.source, key, *before[old][1:], *now[new][1:], differences)
                )
        self.left_before = np.setdiff1d(self.left_before, paired_before).astype(int)
        self.left_now = np.setdiff1d(self.left_now, paired_now).astype(int)


def _grouped(columns: list[Texts], groups: Sequence[Sequence[int]]) -> list[Texts]:
    """Columns, the cells of a group in the order of their texts within each row.

    Columns of one name cannot be told apart but by what they hold.
    """
    for group in groups:
        in_order = np.sort(np.stack([columns[at] for at in group]), axis=0)
        for at, column in zip(group, in_order, strict=True):
            columns[at] = column
    return columns


def _rows(columns: Sequence[Texts], at: Places, wanted: Places) -> dict[int, list[str]]:
    """Cells of the rows wanted, by the place of the row; `at` are the places of all of them."""
    of_these = np.searchsorted(at, wanted)
    cells = zip(*(column[of_these].tolist() for column in columns), strict=True)
    return dict(zip(wanted.tolist(), map(list, cells), strict=True))


def _nth(codes: Places) -> Places:
    """How many equal ones stand before each."""
    return np.asarray(pd.Series(codes).groupby(codes).cumcount(), dtype=np.intp)


def _pairs(
    before: Sequence[int],
    now: Sequence[int],
    rows_before: Mapping[int, list[str]],
    rows_now: Mapping[int, list[str]],
) -> Iterator[tuple[int, int]]:
    if len(before) * len(now) > MOST_PAIRS:
        yield from zip(
            sorted(before, key=rows_before.__getitem__),
            sorted(now, key=rows_now.__getitem__),
            strict=False,
        )
        return
    likeness = sorted(
        (
            -sum(map(str.__eq__, rows_before[old], rows_now[new])),
            rows_before[old],
            rows_now[new],
            old,
            new,
        )
        for old in before
        for new in now
    )
    done_before, done_now = set(), set()
    for *_, old, new in likeness:
        if old not in done_before and new not in done_now:
            done_before.add(old)
            done_now.add(new)
            yield old, new
