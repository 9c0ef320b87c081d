"""Rows about jobs, inspections and stores issues as one table of events."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.records.events.rows import COLUMNS, TEXTS
from analytics.records.findings import Done, Finding
from analytics.records.gather.ledger import Ledger
from analytics.records.mapping.meanings import OF_THE_BOAT
from analytics.records.mapping.word_lists import LONGEST
from analytics.records.vocabulary.actions import action_of
from analytics.records.vocabulary.conditions import condition_of
from analytics.records.vocabulary.kinds import kind_of
from analytics.records.vocabulary.reasons import reason_of

Texts = npt.NDArray[np.object_]
Words = Mapping[str, str]

MOST_TEXTS = 20_000
"""Different remarks of one list that are looked at where a row's own column is blank."""


def events_of(
    frame: pd.DataFrame, ledger: Ledger, said: Mapping[str, Words] | None = None
) -> pd.DataFrame:
    """Rows of one list of jobs as events; those that say too little are left out, with a reason.

    Parameters
    ----------
    frame : DataFrame
        `line`, `boat`, `position` and the fields of the shape.
    ledger : Ledger
    said : mapping of str to mapping, optional
        By field, what a person said that texts mean.
    """
    events = pd.DataFrame(index=frame.index)
    events["line"] = frame["line"]
    for name in TEXTS:
        events[name] = frame.get(name, "")
    events["hours"] = frame.get("hours", np.nan)
    events["flags"] = frame.get("reason_flags", "")
    _days(events, frame, ledger)
    raw = {
        name: frame[f"{name}_text"].to_numpy(dtype=object)
        for name in ("action", "reason", "condition", "kind")
        if f"{name}_text" in frame
    }
    if "note" in frame:
        raw["note"] = frame["note"].to_numpy(dtype=object)
    blank = np.full(len(frame), "", dtype=object)
    # Where one column tells the part and the work, it is the part's.
    work = raw.get("action", raw.get("kind", blank))
    _read_elsewhere(events, work, raw.get("note", blank), said or {}, ledger)
    return _usable(events, frame, ledger)


def _days(events: pd.DataFrame, frame: pd.DataFrame, ledger: Ledger) -> None:
    nothing = pd.Series(pd.NaT, index=frame.index, dtype="datetime64[ns]")
    frame = _without_ends_before_days(frame, ledger)
    for end in ("lo", "hi"):
        on = frame.get(f"on_{end}", nothing)
        until = frame.get(f"until_{end}", nothing)
        events[f"on_{end}"] = on.fillna(until)
        events[f"sound_{end}"] = frame.get(f"last_sound_on_{end}", nothing)
    # A job that took days: the old part came out on the first, the new one went in by the last.
    long = frame.get("until_hi", nothing) > events["on_lo"]
    events["fit_lo"] = events["on_lo"].where(long)
    events["fit_hi"] = frame.get("until_hi", nothing).where(long)
    if "invoice_on_lo" in frame:
        invoiced = events["on_lo"].isna()
        events.loc[invoiced, "on_lo"] = frame.loc[invoiced, "invoice_on_lo"]
        events.loc[invoiced, "on_hi"] = frame.loc[invoiced, "invoice_on_hi"]


def _without_ends_before_days(frame: pd.DataFrame, ledger: Ledger) -> pd.DataFrame:
    """The last day of a job is read as blank where it lies before the first."""
    if "until_hi" not in frame or "on_lo" not in frame:
        return frame
    wrong = frame["until_hi"] < frame["on_lo"]
    if not wrong.any():
        return frame
    for (first, last), rows in frame[wrong].groupby(["on", "until"], sort=True):
        say(
            ledger,
            rows["line"].tolist(),
            "until",
            str(last),
            f"a day on or after {first}, the first of the job",
            "assumed",
            "Read as blank, so that the job is of its first day alone: correct one of the two.",
            "dates_disagree",
        )
    blank = {name: frame[name].mask(wrong) for name in ("until_lo", "until_hi")}
    return frame.assign(**blank)


def _read_elsewhere(
    events: pd.DataFrame, work: Texts, note: Texts, said: Mapping[str, Words], ledger: Ledger
) -> None:
    """What a row's own column leaves blank may stand in the words about the work or in the note.

    What a person said of a text counts there as well.
    """

    def reader(name: str, read: Callable[[str], str]) -> Callable[[str], str]:
        words = said.get(name)
        return read if not words else lambda text: words.get(text) or read(text)

    _fill(events, "kind", work, reader("kind", _kind), ledger)
    for texts in (work, note):
        _fill(events, "action", texts, reader("action", _action), ledger)
    condition = reader("condition", _condition)
    _fill(events, "condition", work, condition, ledger, only=events["action"].eq("seen"))
    ends = events["action"].isin(["removed", "replaced", "failed", "refurbished", "moved"])
    for texts in (work, note):
        _fill(events, "reason", texts, reader("reason", _reason), ledger, only=ends)
    for texts in (work, note):
        told = pd.Series(texts, index=events.index, dtype=object).where(ends, "")
        flags = _by_text(told.to_numpy(dtype=object), _flags)
        if any(flags):
            both = events["flags"].astype(str) + " " + pd.Series(flags, index=events.index)
            events["flags"] = both.str.strip()


def _fill(
    events: pd.DataFrame,
    name: str,
    texts: Texts,
    read: Callable[[str], str],
    ledger: Ledger,
    only: pd.Series[bool] | None = None,
) -> None:
    blank = events[name].eq("")
    if only is not None:
        blank &= only
    if not blank.any():
        return
    asked = pd.Series(texts, index=events.index, dtype=object).where(blank, "")
    found = pd.Series(
        _by_text(asked.to_numpy(dtype=object), read), index=events.index, dtype=object
    )
    filled = blank & found.ne("")
    events.loc[filled, name] = found[filled]
    if name != "reason" or not filled.any():
        return
    words = pd.Series(texts, index=events.index, dtype=object)
    for text, rows in words[filled].groupby(words[filled], sort=True).groups.items():
        lines = events.loc[rows, "line"].tolist()
        say(
            ledger,
            lines,
            name,
            str(text),
            "a column with the reason",
            "noted",
            f"Read as {read(str(text))} by the words about the work.",
            "cause_in_free_text",
        )


def _by_text(texts: Texts, read: Callable[[str], str]) -> Texts:
    codes, distinct = pd.factorize(texts)
    values = np.full(len(distinct), "", dtype=object)
    looked_at = distinct[:MOST_TEXTS]
    values[: len(looked_at)] = [read(text[:LONGEST]) if text else "" for text in looked_at]
    return np.asarray(values[codes], dtype=object)


@cache
def _flags(text: str) -> str:
    return " ".join(sorted(set(reason_of(text).flags) - {"still_in"}))


@cache
def _kind(text: str) -> str:
    read = kind_of(text)
    return read.kind if read.certain and not read.foreign else ""


@cache
def _action(text: str) -> str:
    read = action_of(text)
    return read.action if read.certain else ""


@cache
def _condition(text: str) -> str:
    read = condition_of(text)
    return read.condition if read.certain else ""


@cache
def _reason(text: str) -> str:
    read = reason_of(text)
    return read.reason if read.certain else ""


def _usable(events: pd.DataFrame, frame: pd.DataFrame, ledger: Ledger) -> pd.DataFrame:
    """Only rows of which boat, day, shaft, part and work are known."""
    by_reason = events["action"].eq("") & ~events["reason"].isin(["", "unknown"])
    events.loc[by_reason, "action"] = "replaced"
    by_condition = events["action"].eq("") & events["condition"].ne("")
    events.loc[by_condition, "action"] = "seen"
    of_boat = events["action"].isin(["meter", "engine", "left"])
    events.loc[of_boat & events["kind"].eq(""), "kind"] = OF_THE_BOAT
    for name, missing, expected, remedy, sort in (
        (
            "kind",
            events["kind"].eq(OF_THE_BOAT) & ~of_boat,
            "a part of a shaft line",
            "A job about no part of a shaft says nothing of one.",
            "other_kind_of_part",
        ),
        ("boat", events["boat"].eq(""), "a boat", "Fill in the boat.", "cell_unreadable"),
        ("on", events["on_lo"].isna(), "a date", "Fill in the date.", "cell_unreadable"),
        (
            "kind",
            events["kind"].eq(""),
            "a kind of part",
            "Say which part it was about.",
            "words_unknown",
        ),
        (
            "position",
            events["position"].eq(""),
            "port or starboard on a boat with two shafts",
            "Fill in the side; a row about both needs to say so.",
            "side_missing",
        ),
        (
            "action",
            events["action"].eq(""),
            "what was done",
            "Say what was done: fitted, removed, replaced, inspected.",
            "words_unknown",
        ),
    ):
        missing = missing[events.index]
        if missing.any():
            lines = events.loc[missing, "line"].tolist()
            leave(ledger, lines, name, "", expected, "rejected", remedy, sort)
            events = events[~missing]
    return events[list(COLUMNS)]


def seen_by_leaving(events: pd.DataFrame) -> pd.DataFrame:
    """Rows about a boat that left and one of her parts: it was in place and at work until then.

    For boats of which these rows themselves say when they left; elsewhere the
    list of boats does.
    """
    told = events["action"].eq("left") & events["kind"].ne(OF_THE_BOAT)
    if not told.any():
        return events
    return events.assign(
        action=events["action"].mask(told, "seen"),
        condition=events["condition"].mask(told, "sound"),
    )


def say(
    ledger: Ledger,
    lines: Sequence[int],
    field: str,
    found: str,
    expected: str,
    done: Done,
    remedy: str,
    sort: str,
) -> None:
    """One finding about lines."""
    first, *also = lines
    ledger.tell(first, Finding("", None, field, found, expected, done, remedy, sort, tuple(also)))


def leave(
    ledger: Ledger,
    lines: Sequence[int],
    field: str,
    found: str,
    expected: str,
    done: Done,
    remedy: str,
    sort: str,
) -> None:
    """Leave lines out, with one finding; those of which the reason is known already quietly."""
    fresh = [line for line in dict.fromkeys(lines) if line not in ledger.out]
    if fresh:
        first, *also = fresh
        ledger.leave_out(
            first, Finding("", None, field, found, expected, done, remedy, sort, tuple(also))
        )


def between_invoice_and_launch(
    frame: pd.DataFrame, lifts: Mapping[str, Sequence[pd.Timestamp]], most_days: int = 183
) -> pd.Series[pd.Timestamp]:
    """The last day on which a part that was invoiced can have been fitted.

    The first launch after the invoice where one is written down, half a year
    otherwise (common practice, no source).
    """
    longest = frame["invoice_on_hi"] + pd.Timedelta(days=most_days)
    last = []
    for boat, invoiced, most in zip(frame["boat"], frame["invoice_on_hi"], longest, strict=True):
        launches = lifts.get(boat, ())
        last.append(next((day for day in launches if invoiced <= day <= most), most))
    return pd.Series(last, index=frame.index, dtype="datetime64[ns]")
