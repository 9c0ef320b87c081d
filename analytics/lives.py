"""The table of lives: one row per life of one part, with windows, entry, outcome and clock.

Everything after the records works on this table. Failures are events; all
else is censoring. A life is in the table only because it was still going when
the boat was first watched (`seen_from`), and that is carried along.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.records.findings import Finding, FleetError
from analytics.records.purged import purged_records
from analytics.records.reading import Records
from analytics.records.settings import Settings
from analytics.records.tables import BOATS, LIFTS, PARTS
from analytics.records.treatments import found_ashore, treatments
from analytics.shaft_hours import shaft_hours
from analytics.usage import DAYS_PER_YEAR, ShaftHours, day_number, day_numbers

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

COLUMNS = [
    "life",
    "boat",
    "position",
    "kind",
    "start_lo",
    "start_hi",
    "seen_from",
    "end_lo",
    "end_hi",
    "outcome",
    "clock",
    "source",
]
"""Columns that other programs may rely on; covariates follow them."""

FOR_FITTING = ["group", "place_began", "leaves_on"]
"""Columns that later stages need and no file shows."""

COVARIATES = ["base", "lay_up", "water", "lot", "size", "part_no"]

EMPTY_AT_MOST = 365.0
"""Days that a place stays empty at most: a boat does not miss two seasons for a seal."""

OLDEST_YEARS = 20
"""How far back an undated part may have been fitted where the build year is not known either."""

ASHORE_AT_MOST = 183
"""Days that a haul-out may have lasted where its launch is not written down (common practice, no
source: the longest lay-up)."""

YEAR_ONLY = 364.0
"""Days between the first and the last day of a window that says no more than the year."""

IN_SERVICE = "in_service"


@dataclass(frozen=True)
class Lives:
    """All lives of a fleet, and the shaft hours that age some of them.

    Attributes
    ----------
    table : DataFrame
        A row per life: `COLUMNS`, `COVARIATES`, then `FOR_FITTING`. Dates are
        datetime64; `start_lo` to `start_hi` is the window of fitting (equal
        when the day is known), `end_lo` to `end_hi` that of the end. A failure
        lies in (end_lo, end_hi]; any other life was sound at `end_lo`.
        `outcome` is ``failed``, ``accident``, ``in_service`` or the reason of a
        removal. `place_began`: the window begins with the boat's building, so that
        a part must have been fitted then. `leaves_on`: when the boat leaves, where
        that is known. Ordered by boat, position, kind and time, not by row.
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

    @property
    def as_of(self) -> date:
        """Last day on which the records were watched."""
        assert self.settings.as_of is not None  # the reader fills it in
        return self.settings.as_of

    def for_files(self) -> pd.DataFrame:
        """The table as files show it, without the columns that only a fit needs."""
        return self.table[[*COLUMNS, *COVARIATES, "group"]]

    def in_service(self) -> pd.DataFrame:
        """The lives still going on the last day watched."""
        return self.table[self.table["outcome"] == IN_SERVICE]


def table_of_lives(records: Records) -> Lives:
    """Make lives of the checked rows.

    Where a row leaves something open, the widest window that the other records
    allow stands in, and a finding says so.
    """
    usage, findings = shaft_hours(records)
    rows = records.tables[PARTS.file]
    boats = records.tables[BOATS.file].set_index("boat").loc[rows["boat"]].reset_index()
    kinds = {name: records.settings.kind(name) for name in rows["kind"].unique()}

    table = rows[["boat", "position", "kind", "lot", "size", "part_no"]].copy()
    for name in ("base", "lay_up", "water"):
        table[name] = boats[name].to_numpy()
    table["clock"] = [kinds[name].clock for name in rows["kind"]]
    table["group"] = [
        f"lot {lot}" if lot in kinds[name].apart else "all"
        for name, lot in zip(rows["kind"], rows["lot"], strict=True)
    ]
    table["source"] = [records.source(PARTS.file, row) for row in rows["row"].tolist()]
    table["seen_from"] = _seen_from(records, rows, boats)
    table["outcome"] = _outcomes(rows, boats, records)
    first_end, last_end = _written_ends(rows, boats, records)
    starts, place_began = _starts(records, rows, boats, table, first_end, last_end)
    table["start_lo"], table["start_hi"] = starts.lo, starts.hi
    table["place_began"] = place_began
    table["leaves_on"] = boats["left_on_lo"].to_numpy()
    ashore_only = np.array([kinds[name].found_ashore_only for name in rows["kind"]], dtype=bool)
    ends = _ends(records, rows, table, first_end, last_end, ashore_only)
    table["end_lo"], table["end_hi"] = ends.lo, ends.hi

    watched = _watched_from(records, records.tables[BOATS.file])
    findings += purged_records(records.tables, watched, day_number(records.as_of))
    findings += treatments(records.tables, records.settings, table, set(usage.metered()))
    for name in ("start_lo", "start_hi", "seen_from", "end_lo", "end_hi"):
        table[name] = pd.to_datetime(table[name], unit="D", origin="unix")
    # By what the lives are, and by their rows only where nothing else tells them apart.
    order = [*(name for name in COLUMNS if name not in ("life", "source")), *COVARIATES, "group"]
    table = table.sort_values([*order, "source"], kind="stable", ignore_index=True)
    table.insert(0, "life", np.arange(1, len(table) + 1))
    findings = records.located([*findings, *starts.findings, *ends.findings])
    table = table[[*COLUMNS, *COVARIATES, *FOR_FITTING]]
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
        raise FleetError.because(
            PARTS.file,
            found="no row that can be used",
            expected="at least one life",
            remedy="Look at the findings of 'tideworn check' and mend the rows that were rejected.",
            sort="file_missing",
        )
    if only_failures(lives.table):
        raise FleetError.because(
            PARTS.file,
            field="reason",
            found=f"{len(outcomes)} failures and nothing else",
            expected="the parts that did not fail as well",
            remedy="Export every part, also those still fitted and those replaced while sound: "
            "from failures alone the life of a part cannot be told.",
            sort="only_failures",
        )


def only_failures(table: pd.DataFrame) -> bool:
    """True for five lives or more that all failed: survivors were left out, or there are none."""
    return len(table) >= 5 and bool((table["outcome"] == "failed").all())


@dataclass(frozen=True)
class _Windows:
    """First and last possible day of something in each life, and what was assumed."""

    lo: Floats
    hi: Floats
    findings: list[Finding]


def _seen_from(records: Records, rows: pd.DataFrame, boats: pd.DataFrame) -> Floats:
    """The day from which each life counts; a part from another boat has lived until it came."""
    return np.fmax(_watched_from(records, boats), day_numbers(rows["here_since_hi"]))


def _watched_from(records: Records, boats: pd.DataFrame) -> Floats:
    joined = day_numbers(boats["joined_on_hi"])
    begin = records.settings.records_from
    return joined if begin is None else np.fmax(joined, day_number(begin))


def _outcomes(rows: pd.DataFrame, boats: pd.DataFrame, records: Records) -> npt.NDArray[np.object_]:
    still_fitted = rows["removed_on_lo"].isna()
    left = boats["left_on_lo"] <= pd.Timestamp(records.as_of)
    going = np.where(left, "boat_left", IN_SERVICE)
    return np.where(still_fitted, going, rows["reason"])


def _written_ends(
    rows: pd.DataFrame, boats: pd.DataFrame, records: Records
) -> tuple[Floats, Floats]:
    """First and last possible day of removal, of leaving or, for parts in service, of watching."""
    as_of = day_number(records.as_of)
    still_fitted = rows["removed_on_lo"].isna().to_numpy()
    fitted = day_numbers(rows["fitted_on_lo"])
    left_lo = np.fmax(np.fmin(day_numbers(boats["left_on_lo"]), as_of), fitted)
    left_hi = np.fmin(day_numbers(boats["left_on_hi"]), as_of)
    return (
        np.where(still_fitted, left_lo, day_numbers(rows["removed_on_lo"])),
        np.where(still_fitted, left_hi, day_numbers(rows["removed_on_hi"])),
    )


def _starts(
    records: Records,
    rows: pd.DataFrame,
    boats: pd.DataFrame,
    table: pd.DataFrame,
    first_end: Floats,
    last_end: Floats,
) -> tuple[_Windows, Bools]:
    """Windows of fitting; for undated parts from what came before and the boat's own age.

    True where a part must have been fitted when the window begins, because the
    boat was built then.
    """
    lo = day_numbers(rows["fitted_on_lo"])
    hi = np.fmin(day_numbers(rows["fitted_on_hi"]), last_end)
    seen, built = table["seen_from"].to_numpy(), day_numbers(boats["built_on_lo"])
    came = day_numbers(rows["here_since_hi"])
    as_built = _fitted_as_built(records, boats)
    failed = (table["outcome"] == "failed").to_numpy()
    place_began = np.zeros(len(lo), dtype=bool)
    findings = []
    keys = list(zip(rows["boat"], rows["position"], rows["kind"], strict=True))
    places = rows.groupby(["boat", "position", "kind"], sort=False).indices
    for i in np.flatnonzero(np.isnan(lo)):
        place = np.asarray(places[keys[int(i)]])
        others = place[place != i]
        before = others[last_end[others] < first_end[i]]
        hi[i] = last_end[i]
        sort = "failed_fit_date_unknown" if failed[i] else "fit_date_unknown"
        if not np.isnan(came[i]):
            hi[i] = came[i]
            lo[i] = np.floor(hi[i] - OLDEST_YEARS * DAYS_PER_YEAR)
            told = f"up to {OLDEST_YEARS} years before it came from another boat"
        elif len(before):
            # Every removal since was written down, so it was fitted when that one came out.
            lo[i], told = first_end[before].max(), "soon after the part before it was removed"
            hi[i] = min(last_end[i], last_end[before].max() + EMPTY_AT_MOST)
        else:
            told = "before it ended"
            first_here = not (first_end[others] < last_end[i]).any()
            if first_here and not np.isnan(seen[i]):
                # First in its place: it was there when somebody began to watch.
                hi[i] = min(seen[i], last_end[i])
                told = "before the boat was first watched"
            if built[i] <= hi[i]:
                lo[i], told = built[i], f"after the boat was built and {told}"
                place_began[i] = True
                if first_here and records.settings.first_part_as_built:
                    hi[i], sort = min(hi[i], as_built[i]), "fit_assumed_as_built"
                    told = "when the boat was built, as first_part_as_built in fleet.toml says"
            else:
                lo[i] = np.floor(hi[i] - OLDEST_YEARS * DAYS_PER_YEAR)
                told = f"up to {OLDEST_YEARS} years back and {told}"
        findings.append(
            Finding(
                PARTS.file,
                int(rows["row"].iloc[i]),
                "fitted_on",
                "",
                "when it was fitted",
                "assumed",
                f"Read as fitted {told}: between {_day(lo[i])} and {_day(hi[i])}. "
                "An invoice, a date code or a log would narrow it.",
                sort,
            )
        )
    return _Windows(lo, hi, findings), place_began


def _fitted_as_built(records: Records, boats: pd.DataFrame) -> Floats:
    """The last day on which the first parts of each boat were fitted, if with her building.

    Where only the year of building is known she may have been launched, and
    the records begun, later.
    """
    lo, hi = day_numbers(boats["built_on_lo"]), day_numbers(boats["built_on_hi"])
    first = day_numbers(boats["joined_on_hi"])
    if records.settings.records_from is not None:
        first = np.fmin(first, day_number(records.settings.records_from))
    return np.where(hi - lo >= YEAR_ONLY, np.fmax(hi, first), hi)


def _ends(
    records: Records,
    rows: pd.DataFrame,
    table: pd.DataFrame,
    first_end: Floats,
    last_end: Floats,
    ashore_only: Bools,
) -> _Windows:
    """Windows of the end; a failure found ashore reaches back to when the part was last sound."""
    failed = (table["outcome"] == "failed").to_numpy()
    still_going = table["outcome"].isin([IN_SERVICE, "boat_left"]).to_numpy()
    found = rows["found"].to_numpy(dtype=object)
    unseen_afloat = (found == "ashore") | ((found == "") & ashore_only)
    hidden = (failed & unseen_afloat) | (still_going & ashore_only)

    start, seen = table["start_lo"].to_numpy(), table["seen_from"].to_numpy()
    sound = day_numbers(rows["last_sound_on_lo"])
    # The haul-out at which a failure was found says nothing of when it was last sound.
    lifted = _lift_before(records, rows["boat"], np.where(failed, first_end - 1, first_end))
    by_lift = np.isnan(sound) & (lifted > start)
    sound = np.where(by_lift, lifted, sound)
    end_lo = np.where(
        hidden, np.fmin(np.where(np.isnan(sound), start, sound), first_end), first_end
    )
    # A year-only removal may begin before the boat was watched; the life did not end there.
    end_lo = np.maximum(end_lo, np.where(seen < last_end, seen, end_lo))
    findings = found_ashore(rows["row"].to_numpy(), hidden & failed, sound, by_lift)
    return _Windows(np.maximum(end_lo, start), last_end, findings)


def _lift_before(records: Records, boats: pd.Series[str], day: Floats) -> Floats:
    """Day of each boat's latest haul-out that was over by a day, NaN where none is written down."""
    lifts = records.tables[LIFTS.file]
    over = np.where(
        lifts["launched_on_hi"].isna(),
        day_numbers(lifts["lifted_on_hi"]) + ASHORE_AT_MOST,
        day_numbers(lifts["launched_on_hi"]),
    )
    ended = pd.DataFrame(
        {"boat": lifts["boat"], "day": over, "lifted": day_numbers(lifts["lifted_on_lo"])}
    ).sort_values(["day", "lifted"])
    asked = pd.DataFrame({"boat": boats.to_numpy(), "day": day}).sort_values("day", kind="stable")
    latest = pd.merge_asof(asked, ended, on="day", by="boat").set_axis(asked.index)
    return latest["lifted"].sort_index().to_numpy()


def _day(number: float) -> str:
    return str(np.datetime64(int(number), "D"))
