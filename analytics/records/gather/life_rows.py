"""Rows that each tell of one part from its fitting to its removal, as rows of `parts.csv`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from analytics.records.findings import Finding
from analytics.records.gather.as_built import parse_window_or_none
from analytics.records.gather.event_rows import between_invoice_and_launch, say
from analytics.records.gather.ledger import Ledger
from analytics.records.gather.other_rows import number_texts
from analytics.records.gather.shafts import SIDES

TEXTS = (
    "boat",
    "position",
    "kind",
    "part_no",
    "size",
    "lot",
    "serial",
    "fitted_on",
    "removed_on",
    "reason",
    "found",
    "last_sound_on",
    "note",
)
NUMBERS = ("fitted_hours", "removed_hours")

FLAGS = {
    "warranty": (
        "warranty_swap",
        "a removal for a reason",
        "Replaced under warranty: it counts as a failure only where the reason says that it "
        "failed, and as a part whatever it cost.",
    ),
    "recall": (
        "recalled_lot",
        "a removal for a reason",
        "Called back by its maker: it had not failed, and counts as sound until then. Set the "
        "lot apart in fleet.toml ([kinds.NAME] apart) to look at its life on its own.",
    ),
    "informative": (
        "cause_in_free_text",
        "a removal for a reason",
        "Renewed because it looked worn: it counts as sound until then, so that the risk shown "
        "is too low if this is usual.",
    ),
    "degraded": (
        "cause_in_free_text",
        "a removal for a reason",
        "Renewed before it failed, and found worn or cracked: it counts as sound until then. "
        'Say "failed" for these words in mapping.toml if your policy counts them as failures.',
    ),
}
"""What is told of rows whose words say more than a reason."""


def lives_of(
    frame: pd.DataFrame,
    twins: frozenset[str],
    lifts: Mapping[str, Sequence[pd.Timestamp]],
    ledger: Ledger,
) -> tuple[list[dict[str, str]], list[tuple[int, ...]]]:
    """Rows in the plain layout, and the lines of which each was made.

    Parameters
    ----------
    frame : DataFrame
        `line`, `boat`, `position` and the fields of the shape; rows that cannot
        be used are out already.
    twins : frozenset of str
        Boats with two shafts.
    lifts : mapping of str to sequence of Timestamp
        Launches by boat, in order.
    ledger : Ledger
    """
    rows = pd.DataFrame(index=frame.index)
    for name in TEXTS:
        rows[name] = frame.get(name, "")
    for name in NUMBERS:
        rows[name] = number_texts(frame[name]) if name in frame else ""
    # A reason without a removal is what a list writes beside a part that is in place.
    still = rows["removed_on"].eq("") & rows["reason"].eq("unknown")
    rows.loc[still, "reason"] = ""
    _invoiced(rows, frame, lifts, ledger)
    _two_without_side(rows, frame, twins, ledger)
    tell_flags(frame, ledger)
    lines = [(line,) for line in frame["line"].tolist()]
    return rows.to_dict("records"), lines  # type: ignore[return-value]


def tell_flags(frame: pd.DataFrame, ledger: Ledger) -> None:
    """What the words of the reason say besides it."""
    if "reason_flags" not in frame:
        return
    codes, texts = pd.factorize(frame["reason_flags"])
    for flag, (sort, expected, remedy) in FLAGS.items():
        holding = np.array([flag in text.split() for text in texts], dtype=bool)
        flagged = pd.Series(holding[codes], index=frame.index)
        if flag in ("informative", "degraded", "recall"):
            # Counted as failed, or as not known, and not as these say.
            flagged &= ~frame["reason"].isin(["failed", "unknown", ""])
        if flagged.any():
            found = frame.loc[flagged, "reason_text"].unique()
            shown = ", ".join(sorted(found)[:50])[:200]
            lines = frame.loc[flagged, "line"].tolist()
            say(ledger, lines, "reason", shown, expected, "noted", remedy, sort)


def _invoiced(
    rows: pd.DataFrame,
    frame: pd.DataFrame,
    lifts: Mapping[str, Sequence[pd.Timestamp]],
    ledger: Ledger,
) -> None:
    if "invoice_on" not in frame:
        return
    dated = rows["fitted_on"].eq("") & frame["invoice_on"].ne("")
    if not dated.any():
        return
    some = frame[dated]
    last = between_invoice_and_launch(some, lifts)
    rows.loc[dated, "fitted_on"] = windows_between(some["invoice_on_lo"], last)
    say(
        ledger,
        some["line"].tolist(),
        "invoice_on",
        ", ".join(sorted(some["invoice_on"].unique())[:3]),
        "the date of the fitting",
        "assumed",
        "Fitted between the invoice and the launch after it, or within half a year where no "
        "launch is written down.",
        "invoice_date",
    )


def windows_between(
    first: pd.Series[pd.Timestamp], last: pd.Series[pd.Timestamp]
) -> pd.Series[str]:
    """Windows in the plain writing."""
    return first.dt.strftime("%Y-%m-%d") + ".." + last.dt.strftime("%Y-%m-%d")


def _two_without_side(
    rows: pd.DataFrame, frame: pd.DataFrame, twins: frozenset[str], ledger: Ledger
) -> None:
    """Two rows without a side on a boat with two shafts, alike in all that matters: one a side."""
    unsided = rows["position"].eq("") & rows["boat"].isin(twins)
    if not unsided.any():
        return
    alike = ["boat", "kind", "fitted_on", "removed_on", "reason"]
    groups = rows[unsided & rows["fitted_on"].ne("")].groupby(alike, sort=False).indices
    chosen = rows.index[unsided & rows["fitted_on"].ne("")]
    for places in groups.values():
        if len(places) != 2:
            continue
        pair = [chosen[at] for at in places]
        if _one_part(frame.loc[pair]):
            continue
        for at, side in zip(pair, SIDES, strict=True):
            rows.at[at, "position"] = side
        first, second = frame.loc[pair, "line"].tolist()
        ledger.tell(
            first,
            Finding(
                "",
                None,
                "position",
                "",
                "port or starboard on a boat with two shafts",
                "assumed",
                "Two rows alike and without a side: read as one part on each.",
                "side_missing",
                (second,),
            ),
        )


def _one_part(pair: pd.DataFrame) -> bool:
    """True where two rows bear the same serial, or the same job: one part entered twice."""
    return any(
        name in pair and bool(pair[name].iloc[0]) and pair[name].nunique() == 1
        for name in ("serial", "job")
    )


def with_sound_days(
    rows: list[dict[str, str]],
    lines: list[tuple[int, ...]],
    frame: pd.DataFrame,
    seen: pd.DataFrame,
) -> None:
    """Fill in when a failed part was last seen sound, by the inspections.

    Parameters
    ----------
    rows : list of dict
        In the plain layout; filled in.
    lines : list of tuple of int
        The lines of which each row was made; those of inspections are added.
    frame : DataFrame
        With `removed_on_lo`, in the order of `rows`.
    seen : DataFrame
        Inspections: `line`, `boat`, `position`, `kind`, `on_lo` of parts that were sound.
    """
    if seen.empty or "removed_on_lo" not in frame or not rows:
        return
    place = ["boat", "position", "kind"]
    asked = pd.DataFrame(rows)[[*place, "reason", "last_sound_on"]]
    asked["day"] = frame["removed_on_lo"].to_numpy() - np.timedelta64(1, "D")
    wanted = asked["reason"].eq("failed") & asked["last_sound_on"].eq("") & asked["day"].notna()
    asked = asked[wanted].rename_axis("at").reset_index().sort_values("day", kind="stable")
    known = seen[["line", *place, "on_lo"]].rename(columns={"on_lo": "day"})
    known = known.assign(seen_on=known["day"]).sort_values(["day", "line"], kind="stable")
    found = pd.merge_asof(asked, known, on="day", by=place).dropna(subset=["seen_on"])
    for at, day, line in zip(found["at"], found["seen_on"], found["line"], strict=True):
        fitted = parse_window_or_none(rows[at]["fitted_on"])
        if fitted is not None and day.date() < fitted.hi:
            continue  # it may have been the part before
        rows[at] = {**rows[at], "last_sound_on": day.strftime("%Y-%m-%d")}
        lines[at] = (*lines[at], int(line))
