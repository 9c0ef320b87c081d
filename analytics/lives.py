"""The table of lives: one row per life of one part, with windows, entry, outcome and clock.

Everything after the records works on this table. Failures are events; all
else is censoring. A life is in the table only because it was still going when
the boat was first watched (`seen_from`), and that is carried along.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.records.findings import Finding, FleetError
from analytics.records.reading import Records
from analytics.records.settings import Settings
from analytics.records.tables import BOATS, LIFTS, PARTS
from analytics.usage import ShaftHours, day_numbers, shaft_hours

COLUMNS = [
    "life", "boat", "position", "kind", "start_lo", "start_hi", "seen_from", "end_lo", "end_hi",
    "outcome", "clock", "source",
]  # fmt: skip
"""Columns that other programs may rely on; covariates follow them."""

COVARIATES = ["base", "lay_up", "water", "lot", "size", "part_no"]

OLDEST_YEARS = 20
"""How far back an undated part may have been fitted where the build year is not known either."""

IN_SERVICE = "in_service"


@dataclass(frozen=True)
class Lives:
    """All lives of a fleet, and the shaft hours that age some of them.

    Attributes
    ----------
    table : DataFrame
        A row per life: `COLUMNS`, then `COVARIATES` and `group`. Dates are
        datetime64; `start_lo` to `start_hi` is the window of fitting (equal
        when the day is known), `end_lo` to `end_hi` that of the end. A failure
        lies in (end_lo, end_hi]; any other life was sound at `end_lo`.
        `outcome` is ``failed``, ``accident``, ``in_service`` or the reason of a
        removal. Ordered by boat, position, kind and time, not by row.
    usage : ShaftHours
        Shaft hours of every line on any day.
    settings : Settings
    findings : tuple of Finding
        What was assumed in making lives of rows.
    """

    table: pd.DataFrame
    usage: ShaftHours
    settings: Settings
    findings: tuple[Finding, ...]

    def in_service(self) -> pd.DataFrame:
        """The lives still going on the last day watched."""
        return self.table[self.table["outcome"] == IN_SERVICE]


def table_of_lives(records: Records) -> Lives:
    """Make lives of the checked rows.

    Where a row leaves something open, the widest window that the other records
    allow stands in, and a finding says so.
    """
    usage, findings = shaft_hours(records)
    boats = records.tables[BOATS.file].set_index("boat")
    rows = records.tables[PARTS.file].copy()
    kinds = {name: records.settings.kind(name) for name in rows["kind"].unique()}
    of_boat = boats.reindex(rows["boat"]).reset_index(drop=True)

    table = rows[["boat", "position", "kind", "lot", "size", "part_no"]].copy()
    for name in ("base", "lay_up", "water"):
        table[name] = of_boat[name].to_numpy()
    table["clock"] = [kinds[name].clock for name in rows["kind"]]
    table["group"] = [
        f"lot {lot}" if lot in kinds[name].apart else "all"
        for name, lot in zip(rows["kind"], rows["lot"], strict=True)
    ]
    table["source"] = [f"{PARTS.file}:{row}" for row in rows["row"]]

    days = pd.DataFrame(
        {name: day_numbers(rows[name]) for name in rows if name.endswith(("_lo", "_hi"))}
    )
    as_of = float(day_numbers([records.as_of])[0])
    left = day_numbers(of_boat["left_on_lo"])
    open_life = days["removed_on_lo"].isna().to_numpy()
    days["row"] = rows["row"].to_numpy()
    for name in ("boat", "position", "kind"):
        days[name] = rows[name].to_numpy()

    seen = _seen_from(records, day_numbers(of_boat["joined_on_hi"]))
    last = np.where(open_life, np.fmin(left, as_of), days["removed_on_hi"])
    start_lo, start_hi, assumed = _starts(days, seen, last, day_numbers(of_boat["built_on_lo"]))
    findings += assumed

    reason = rows["reason"].to_numpy(dtype=object)
    left_first = open_life & (left <= as_of)
    outcome = np.where(open_life, np.where(left_first, "boat_left", IN_SERVICE), reason)
    ashore_only = np.array([kinds[name].found_ashore_only for name in rows["kind"]], dtype=bool)
    end_lo, end_hi, assumed = _ends(records, rows, days, start_lo, seen, last, outcome, ashore_only)
    findings += assumed

    for name, values in {"start_lo": start_lo, "start_hi": start_hi, "seen_from": seen,
                         "end_lo": end_lo, "end_hi": end_hi}.items():  # fmt: skip
        table[name] = _dates(values)
    table["outcome"] = outcome
    order = [name for name in [*COLUMNS[1:11], *COVARIATES, "group", "source"] if name != "source"]
    table = table.sort_values([*order, "source"], kind="stable", ignore_index=True)
    table.insert(0, "life", np.arange(1, len(table) + 1))
    table = table[[*COLUMNS, *COVARIATES, "group"]]
    return Lives(table, usage, records.settings, tuple(findings))


def require_survivors(lives: Lives) -> None:
    """Refuse to fit records that hold failures and no survivors.

    Raises
    ------
    FleetError
        If there is no life at all, or five or more and every one of them
        failed: such an export leaves out the parts that did not fail, and any
        curve fitted to it would badly understate how long parts last.
    """
    outcomes = lives.table["outcome"]
    if outcomes.empty:
        raise FleetError([
            Finding(PARTS.file, None, "", "no row that can be used", "at least one life", "stopped",
                    "Look at the findings of 'tideworn check' and mend the rows that were rejected.")
        ])  # fmt: skip
    if len(outcomes) >= 5 and (outcomes == "failed").all():
        raise FleetError([
            Finding(PARTS.file, None, "reason", f"{len(outcomes)} failures and nothing else",
                    "the parts that did not fail as well", "stopped",
                    "Export every part, also those still fitted and those replaced while sound: "
                    "from failures alone the life of a part cannot be told.")
        ])  # fmt: skip


def _seen_from(records: Records, joined: np.ndarray) -> np.ndarray:
    begin = records.settings.records_from
    watched = np.full(len(joined), np.nan if begin is None else float(day_numbers([begin])[0]))
    return np.fmax(watched, joined)


def _starts(
    days: pd.DataFrame, seen: np.ndarray, last: np.ndarray, built: np.ndarray
) -> tuple[np.ndarray, np.ndarray, list[Finding]]:
    """Windows of fitting; for undated parts from what came before and the boat's own age."""
    lo, hi = days["fitted_on_lo"].to_numpy(copy=True), days["fitted_on_hi"].to_numpy(copy=True)
    undated = np.isnan(lo)
    ended = days.assign(at=last, undated=undated).sort_values(
        ["boat", "position", "kind", "at", "row"], kind="stable"
    )
    places = ended.groupby(["boat", "position", "kind"], sort=False)
    before = places["removed_on_lo"].shift().reindex(days.index).to_numpy()
    findings = []
    for i in np.flatnonzero(undated):
        if np.isfinite(before[i]):
            lo[i], hi[i], told = before[i], last[i], "after the part before it was removed"
        else:
            # First in its place: it was there when somebody began to watch.
            hi[i] = last[i] if np.isnan(seen[i]) else min(seen[i], last[i])
            told = "before the boat was first watched"
            if np.isfinite(built[i]) and built[i] <= hi[i]:
                lo[i], told = built[i], f"after the boat was built and {told}"
            else:
                lo[i] = hi[i] - OLDEST_YEARS * 365.25
                told = f"up to {OLDEST_YEARS} years back and {told}"
        findings.append(
            Finding(PARTS.file, int(days["row"].iloc[i]), "fitted_on", "", "when it was fitted", "assumed",
                    f"Read as fitted {told}: between {_day(lo[i])} and {_day(hi[i])}. "
                    "An invoice, a date code or a log would narrow it.")
        )  # fmt: skip
    hi = np.minimum(hi, last)
    # Whole days only: a window is a count of days, so that no clock time creeps in.
    return np.floor(np.minimum(lo, hi)), np.floor(hi), findings


def _ends(
    records: Records,
    rows: pd.DataFrame,
    days: pd.DataFrame,
    start_lo: np.ndarray,
    seen: np.ndarray,
    last: np.ndarray,
    outcome: np.ndarray,
    ashore_only: np.ndarray,
) -> tuple[np.ndarray, np.ndarray, list[Finding]]:
    """Windows of the end; a failure found ashore reaches back to when the part was last sound."""
    failed = outcome == "failed"
    still_going = np.isin(outcome, (IN_SERVICE, "boat_left"))
    end_lo = np.where(still_going, last, days["removed_on_lo"])
    end_hi = last.copy()
    found = rows["found"].to_numpy(dtype=object)
    not_seen = (failed & ((found == "ashore") | ((found == "") & ashore_only))) | (
        still_going & ashore_only
    )
    lifted = _lift_before(records, rows["boat"], np.where(failed, end_lo - 1, end_lo))
    sound = days["last_sound_on_lo"].to_numpy()
    by_lift = not_seen & np.isnan(sound) & (lifted > start_lo)
    sound = np.where(np.isnan(sound) & (lifted > start_lo), lifted, sound)
    sound = np.where(np.isnan(sound), start_lo, sound)
    end_lo = np.where(not_seen, np.minimum(sound, end_lo), end_lo)
    # A year-only removal may begin before the boat was watched; the life did not end there.
    end_lo = np.fmax(end_lo, np.where(seen < end_hi, seen, end_lo))
    findings = []
    if n := int((by_lift & failed).sum()):
        findings.append(
            Finding(PARTS.file, None, "last_sound_on", f"{n} blank", "when it was last seen sound", "assumed",
                    f"{n} failure(s) found ashore: the part is taken as sound at the boat's lift before, "
                    "because a worn one would have been found then. Fill in last_sound_on if not.")
        )  # fmt: skip
    return end_lo, end_hi, findings


def _lift_before(records: Records, boats: pd.Series, day: np.ndarray) -> np.ndarray:
    """Day of each boat's latest haul-out up to a day, NaN where none is written down."""
    lifts = records.tables[LIFTS.file]
    lifted = {
        boat: np.sort(day_numbers(group["lifted_on_lo"])) for boat, group in lifts.groupby("boat")
    }
    latest = np.full(len(day), np.nan)
    for i, boat in enumerate(boats):
        if boat in lifted and (n := int(np.searchsorted(lifted[boat], day[i], side="right"))):
            latest[i] = lifted[boat][n - 1]
    return latest


def _dates(days: np.ndarray) -> pd.Series:
    return pd.Series(pd.to_datetime(days, unit="D", origin="unix"))


def _day(number: float) -> str:
    return str(np.datetime64(int(np.floor(number)), "D"))
