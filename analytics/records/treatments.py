"""How the ends and beginnings that every fleet's records have are counted: said once for all.

Nothing is wrong with these rows; people want to know what was done with them.
"""

from __future__ import annotations

from collections.abc import Mapping, Set

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.records.findings import Done, Finding, of_rows
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.settings import Settings
from analytics.records.tables import BOATS, PARTS

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


def treatments(
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
    lives: pd.DataFrame,
    metered: Set[tuple[str, str]],
) -> list[Finding]:
    """What was done with lives that did not end in a failure, or were not watched throughout.

    Parameters
    ----------
    tables : mapping of str to DataFrame
        Checked rows by file.
    settings : Settings
    lives : DataFrame
        In the order of the rows of parts; `start_hi`, `seen_from`, `outcome`
        and `clock` are read, days as numbers since 1970-01-01.
    metered : set of (str, str)
        Boat and position of the shaft lines with meter readings.
    """
    parts = tables[PARTS.file]
    outcome = lives["outcome"]
    old = lives["start_hi"] < lives["seen_from"]
    joined = parts["boat"].map(tables[BOATS.file].set_index("boat")["joined_on_hi"])
    bought = joined > pd.Timestamp(settings.records_from or pd.Timestamp.min)
    came = parts["here_since_lo"].notna()
    said = [
        _of_parts(
            parts[old & ~bought & ~came],
            "fitted_on",
            "a part fitted since the records began",
            "Fitted before: counts from the day the records began, at the age it had by then.",
            "fitted_before_records",
        ),
        _of_parts(
            parts[_as_old_as_the_boat(parts, tables[BOATS.file])],
            "fitted_on",
            "the day on which it was fitted",
            "Fitted in the year in which the boat was built: people often write that year where "
            "they do not know. It counts as fitted within it; leave the date blank if nobody "
            "knows.",
            "fit_assumed_as_built",
        ),
        _of_parts(
            parts[outcome == "other_work"],
            "reason",
            "a part watched until it failed",
            "Taken out sound while other work was done: counts as sound until then.",
            "removed_for_other_work",
        ),
        _of_parts(
            parts[outcome == "replaced_sound"],
            "reason",
            "a part watched until it failed",
            "Renewed while sound: counts as sound until then. If parts were renewed because they "
            "looked tired, risks come out too low.",
            "renewed_by_age",
        ),
        _of_parts(
            parts[outcome == "boat_left"],
            "removed_on",
            "a part watched to the end of its life or of the records",
            "The boat left the fleet: counts as sound until then.",
            "boat_left",
        ),
        _second_hand(tables[BOATS.file], set(parts.loc[old & bought, "boat"])),
        *_of_boats(tables[BOATS.file], set(parts.loc[outcome == "boat_left", "boat"])),
        *_hours(tables, settings, lives, metered),
    ]
    return [finding for findings in said for finding in findings]


def _as_old_as_the_boat(parts: pd.DataFrame, boats: pd.DataFrame) -> Bools:
    """True where all that is known of the fitting is the year of the boat's building."""
    built = parts["boat"].map(boats.set_index("boat")["built_on_lo"])
    first, last = parts["fitted_on_lo"], parts["fitted_on_hi"]
    year_alone = (first.dt.dayofyear == 1) & (first < last) & (first.dt.year == last.dt.year)
    return np.asarray(year_alone & (first.dt.year == built.dt.year), dtype=bool)


def _of_parts(
    rows: pd.DataFrame, field: str, expected: str, remedy: str, sort: str
) -> list[Finding]:
    finding = Finding(PARTS.file, None, field, "", expected, "noted", remedy, sort)
    return of_rows(finding, rows["row"].tolist())


def _second_hand(boats: pd.DataFrame, with_old_parts: Set[str]) -> list[Finding]:
    finding = Finding(
        BOATS.file,
        None,
        "joined_on",
        "",
        "a boat whose parts were all fitted since the records began",
        "noted",
        "It joined with parts in place: they count from that day, at the age they had by then.",
        "bought_second_hand",
    )
    return of_rows(finding, boats.loc[boats["boat"].isin(list(with_old_parts)), "row"].tolist())


def _of_boats(boats: pd.DataFrame, with_parts_gone: Set[str]) -> list[list[Finding]]:
    """Boats that left with parts in place, and boats that had another name."""
    gone = boats["boat"].isin(list(with_parts_gone))
    left = Finding(
        BOATS.file,
        None,
        "left_on",
        "",
        "a boat watched to the end of the records",
        "noted",
        "It left the fleet: its parts count as sound until then.",
        "boat_left",
    )
    renamed = Finding(
        BOATS.file,
        None,
        "was_named",
        "",
        "a boat of one name",
        "noted",
        "Rows under an earlier name are read as this boat, by their dates.",
        "boat_renamed",
    )
    return [
        of_rows(left, boats.loc[gone, "row"].tolist()),
        of_rows(renamed, boats.loc[boats["was_named"].ne(""), "row"].tolist()),
    ]


def _hours(
    tables: Mapping[str, pd.DataFrame],
    settings: Settings,
    lives: pd.DataFrame,
    metered: Set[tuple[str, str]],
) -> list[list[Finding]]:
    """Engine hours taken for shaft hours, and hours at days without a reading."""
    parts = tables[PARTS.file]
    by_hours = lives["clock"] == "hours"
    if not by_hours.any():
        return []
    lines = zip(parts["boat"], parts["position"], strict=True)
    read = np.array([line in metered for line in lines], dtype=bool)
    removed = parts["removed_on_lo"].notna()
    unread = parts["fitted_hours"].isna() | (removed & parts["removed_hours"].isna())
    between = _of_parts(
        parts[by_hours & read & unread],
        "fitted_hours, removed_hours",
        "the hours on both days",
        "Between two readings the hours are shared out over the days in use; before the first and "
        "after the last the line's own rate holds.",
        "hours_between_readings",
    )
    given = tables[BOATS.file]["hours_per_season"].notna().any()
    if settings.shaft_share_given or not (metered or given):
        return [between]
    share = Finding(
        SETTINGS_FILE,
        None,
        "shaft_share",
        "",
        "the share of engine hours in which the shaft turns",
        "noted",
        f"{settings.shaft_share:g} stands in, a planning default: engines also run out of gear. "
        "Set shaft_share to 1 if the meters count shaft hours.",
        "shaft_share_assumed",
    )
    return [between, [share]]


def found_ashore(
    rows: npt.NDArray[np.int64], found_worn: Bools, sound: Floats, by_lift: Bools
) -> list[Finding]:
    """What was done with failures found ashore, which came on some day before.

    Parameters
    ----------
    rows : ndarray of int, shape (n_lives,)
        Rows of the lives.
    found_worn : ndarray of bool, shape (n_lives,)
        True for failures found ashore.
    sound : ndarray, shape (n_lives,)
        When each was last seen sound, NaN where nothing says.
    by_lift : ndarray of bool, shape (n_lives,)
        True where a haul-out says so.
    """
    known, n = ~np.isnan(sound), int((found_worn & by_lift).sum())
    texts: list[tuple[Bools, str, Done, str, str]] = [
        (
            known & ~by_lift,
            "the day on which it failed",
            "noted",
            "Found ashore: read as failed on any day between last_sound_on and its removal.",
            "failure_found_ashore",
        ),
        (
            ~known,
            "when it was last seen sound",
            "assumed",
            "Found ashore: read as failed on any day since it was fitted, as far as it was "
            "watched. Fill in last_sound_on, or add the haul-outs before to lifts.csv.",
            "last_sound_missing",
        ),
    ]
    findings = []
    for chosen, expected, done, remedy, sort in texts:
        finding = Finding(PARTS.file, None, "last_sound_on", "", expected, done, remedy, sort)
        findings += of_rows(finding, rows[found_worn & chosen].tolist())
    if n:
        findings.append(
            Finding(
                PARTS.file,
                None,
                "last_sound_on",
                f"{n} blank",
                "when it was last seen sound",
                "assumed",
                f"{n} failure(s) found ashore: the part is taken as sound at the boat's haul-out "
                "before, because a worn one would have been found then. "
                "Fill in last_sound_on if not.",
                "failure_found_ashore",
                tuple(sorted(rows[found_worn & by_lift].tolist())),
            )
        )
    return findings
