"""Inspections: what was measured, and how parts were found."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from analytics.records.boats import Boats
from analytics.records.events.place import SAME_FAILURE
from analytics.records.events.rows import COLUMNS
from analytics.records.findings import Done, Finding
from analytics.records.gather.as_built import parse_window_or_none
from analytics.records.gather.event_rows import leave
from analytics.records.gather.ledger import Ledger
from analytics.records.gather.other_rows import readings_of
from analytics.records.tables import PARTS

_PLACE = ("boat", "position", "kind")


def measured(frame: pd.DataFrame, boats: Boats | None, ledger: Ledger) -> pd.DataFrame:
    """The inspections that measured something; of the others, which cannot be used.

    Whether the rest tell of a part that is known is seen by `settle`.

    Parameters
    ----------
    frame : DataFrame
        Rows of one export of inspections, with boats and positions.
    boats : Boats or None
        Those of a list, None where there is none.
    ledger : Ledger
    """
    readings = readings_of(frame)
    others = frame.loc[frame.index.difference(readings.index)]
    found = others["condition"].ne("") if "condition" in others else _none(others)
    unsaid = ~found
    undated = found & others["read_on_lo"].isna() if "read_on_lo" in others else found
    found &= ~undated
    nameless = found & others["boat"].eq("")
    strange = found & ~nameless & _strange(others, boats)
    kindless = found & ~nameless & ~strange & others["kind"].eq("")
    unsided = found & ~nameless & ~strange & ~kindless & others["position"].eq("")
    _leave(
        ledger,
        others[unsaid],
        "condition",
        "",
        "what was found or measured",
        "Fill it in.",
        "cell_unreadable",
    )
    _leave(ledger, others[undated], "read_on", "", "a date", "Fill it in.", "cell_unreadable")
    _leave(ledger, others[nameless], "boat", "", "a boat", "Fill in the boat.", "cell_unreadable")
    for name in sorted(others.loc[strange, "boat"].unique()):
        assert boats is not None
        _leave(
            ledger,
            others[strange & others["boat"].eq(name)],
            "boat",
            str(name),
            "a boat of the list of boats",
            boats.remedy(str(name)),
            "boat_name_unknown",
        )
    _leave(
        ledger,
        others[kindless],
        "kind",
        "",
        "a kind of part",
        "Say which part it was about.",
        "words_unknown",
    )
    _leave(
        ledger,
        others[unsided],
        "position",
        "",
        "port or starboard on a boat with two shafts",
        "Fill in the side.",
        "side_missing",
    )
    return readings


def _none(frame: pd.DataFrame) -> pd.Series[bool]:
    return pd.Series(False, index=frame.index)


def _strange(frame: pd.DataFrame, boats: Boats | None) -> pd.Series[bool]:
    return _none(frame) if boats is None else ~frame["boat"].isin(list(boats.rows))


def _leave(
    ledger: Ledger,
    frame: pd.DataFrame,
    field: str,
    found: str,
    expected: str,
    remedy: str,
    sort: str,
) -> None:
    leave(ledger, frame["line"].tolist(), field, found, expected, "rejected", remedy, sort)


def seen_in(frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """Inspections that say how a part was found, as events; `measured` where they measured too."""
    events = []
    for frame in frames:
        if "condition" not in frame or "read_on_lo" not in frame:
            continue
        said = frame["condition"].ne("")
        for name in _PLACE:
            said &= frame[name].ne("")
        seen = frame[said & frame["read_on_lo"].notna()]
        one = pd.DataFrame(
            {
                "line": seen["line"],
                "on_lo": seen["read_on_lo"],
                "on_hi": seen["read_on_hi"],
                "action": "seen",
                "measured": seen["value"].notna() if "value" in seen else False,
            }
        )
        for name in ("boat", "position", "kind", "condition", "note"):
            one[name] = seen.get(name, "")
        events.append(one)
    return pd.concat(events, ignore_index=True) if events else pd.DataFrame()


def with_every_column(seen: pd.DataFrame) -> pd.DataFrame:
    """Inspections with every column of an event."""
    events = seen.copy()
    for name in COLUMNS:
        if name not in events:
            events[name] = pd.NaT if name.endswith(("_lo", "_hi")) else ""
    events["hours"] = float("nan")
    return events[list(COLUMNS)]


@dataclass(frozen=True)
class _Span:
    """A life as far as its days go; `where` names its row."""

    fitted: Days
    removed: Days
    reason: str
    where: str

    @property
    def failed(self) -> bool:
        return self.reason in ("failed", "accident")


def settle(
    seen: pd.DataFrame,
    rows: Sequence[Mapping[str, str]],
    lines: Sequence[tuple[int, ...]],
    plain: Iterable[tuple[int, Mapping[str, str]]],
    ledger: Ledger,
) -> None:
    """Hold the inspections that nothing used yet against the lives of their places.

    One that agrees with a life counts as used. One of a part that no list tells
    of is left out, and so is one that found a part failed which the list says
    stayed at work: the list stands, and both rows are named.

    Parameters
    ----------
    seen : DataFrame
        Inspections as events, see `seen_in`.
    rows : sequence of mapping
        Of `parts.csv`, in the plain layout.
    lines : sequence of tuple of int
        Of which each was made.
    plain : iterable of (int, mapping)
        Further rows of parts in the plain layout, by their number in `parts.csv`.
    ledger : Ledger
    """
    known = ledger.used | ledger.out.keys()
    known.update(line for own in lines for line in own)
    open_ = seen[~seen["line"].isin(known)] if len(seen) else seen
    if open_.empty:
        return
    asked = set(zip(*(open_[name] for name in _PLACE), strict=True))
    spans = _spans(asked, rows, lines, plain, ledger)
    untold: dict[tuple[str, str], list[int]] = defaultdict(list)
    failed: list[tuple[int, _Span, pd.Timestamp]] = []
    used = set(open_.loc[open_["measured"], "line"].tolist())
    names = ("line", *_PLACE, "condition", "on_lo", "on_hi")
    for line, boat, position, kind, condition, lo, hi in zip(
        *(open_[name].tolist() for name in names), strict=True
    ):
        of_place = spans.get((boat, position, kind), [])
        around = [one for one in of_place if one.fitted[0] <= hi and lo <= one.removed[1]]
        if not around:
            why = "a part that was in place on that day" if of_place else "a part of that place"
            untold[why, kind].append(line)
        elif condition == "failed" and not any(_agrees(one, lo) for one in around):
            failed.append((line, around[0], lo))
        else:
            used.add(line)
    ledger.used.update(used)
    for line, life, day in failed:
        _tell_failed(ledger, line, life, day)
    for (why, kind), of_kind in sorted(untold.items()):
        # A row about both sides, or with a measurement, may be of use all the same.
        if of_no_use := [line for line in of_kind if line not in used]:
            leave(
                ledger,
                of_no_use,
                "kind",
                kind,
                f"{why}, in a list of parts or jobs",
                "ignored",
                "Nothing is made of what it found: an inspection alone says neither when the part "
                "was fitted nor what became of it. Add the part to the list.",
                "inspection_unused",
            )


Days = tuple[pd.Timestamp, pd.Timestamp]
_EVER = (pd.Timestamp.min, pd.Timestamp.min)
_NEVER = (pd.Timestamp.max, pd.Timestamp.max)


def _days(text: str, unknown: Days) -> Days:
    window = parse_window_or_none(text)
    return unknown if window is None else (pd.Timestamp(window.lo), pd.Timestamp(window.hi))


def _spans(
    asked: set[tuple[str, str, str]],
    rows: Sequence[Mapping[str, str]],
    lines: Sequence[tuple[int, ...]],
    plain: Iterable[tuple[int, Mapping[str, str]]],
    ledger: Ledger,
) -> dict[tuple[str, str, str], list[_Span]]:
    """The lives of these places, in the order of their fitting."""
    spans: dict[tuple[str, str, str], list[_Span]] = defaultdict(list)
    told = [(row, ledger.where(own[0])) for row, own in zip(rows, lines, strict=True)]
    told += [(row, (PARTS.file, number)) for number, row in plain]
    for row, (file, number) in told:
        place = (row.get("boat", ""), row.get("position") or "single", row.get("kind", ""))
        if place not in asked:
            continue
        fitted = _days(row.get("fitted_on", "") or row.get("here_since", ""), _EVER)
        removed = _days(row.get("removed_on", ""), _NEVER)
        where = f"row {number} of {file}"
        spans[place].append(_Span(fitted, removed, row.get("reason", ""), where))
    for of_place in spans.values():
        of_place.sort(key=lambda one: (one.fitted, one.removed, one.where))
    return spans


def _agrees(life: _Span, day: pd.Timestamp) -> bool:
    """True where a life ended by failing, soon enough after it was found failed."""
    return life.failed and life.removed[0] - pd.Timedelta(days=SAME_FAILURE) <= day


def _tell_failed(ledger: Ledger, line: int, life: _Span, day: pd.Timestamp) -> None:
    """Found failed, and by the list it worked on or came out for another reason."""
    sort = "failed_seen"
    if life.removed is _NEVER:
        expected = f"a removal as failed; {life.where} says that it is still fitted"
        remedy = "fill in when it came out, with failed as the reason"
    else:
        ended = life.removed[1].date()
        expected = f"a removal as failed; {life.where} says {life.reason or 'no reason'}, {ended}"
        remedy = "correct its reason or its date"
        if life.removed[0] - day <= pd.Timedelta(days=SAME_FAILURE):
            sort = "reasons_differ"
    done: Done = "noted" if line in ledger.used else "ignored"
    finding = Finding(
        "",
        None,
        "condition",
        f"failed {day.date()}",
        expected,
        done,
        f"The list stands, so that a failure is missing from the results if the inspection is "
        f"right: in that row, {remedy}. If it did not fail, correct the inspection.",
        sort,
    )
    if done == "noted":
        ledger.tell(line, finding)
    else:
        ledger.leave_out(line, finding)
