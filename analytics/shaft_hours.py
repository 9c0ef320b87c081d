"""Shaft hours read from the records: meters, hours of parts, and what boats are said to run."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd

from analytics.records.findings import Finding
from analytics.records.meters import Meter, joined_meter, stuck_runs
from analytics.records.meters_spread import (
    between_boats,
    spread_of_rate,
    spread_of_year,
    stated_spread,
    sure_steps,
)
from analytics.records.reading import Records
from analytics.records.settings import FILE as SETTINGS_FILE
from analytics.records.tables import BOATS, HOURS, PARTS
from analytics.usage import (
    DEFAULT_HOURS_PER_YEAR,
    Floats,
    ShaftHours,
    active_years,
    day_number,
    day_numbers,
)


def shaft_hours(records: Records) -> tuple[ShaftHours, list[Finding]]:
    """Join meter readings and expected hours into the shaft hours of every line with a part.

    Readings come from `hours.csv` and from the hours written beside a part's
    fitting and removal. A deep fall means a new meter: the hours in between are
    taken from the line's own rate, at least what the new meter shows. A small
    fall is a slip: the higher reading stands. A meter that shows the same for
    longer than a season, on a boat that is not said to lie idle, has stuck: the
    hours in between are taken from the line's own rate as well.

    Returns
    -------
    ShaftHours
    list of Finding
        Meters replaced and stuck, slips, lines without readings, readings without a line.
    """
    rule, share = records.settings.seasons, records.settings.shaft_share
    boats = records.tables[BOATS.file].set_index("boat")
    lines = _lines(records)
    of_line = boats.loc[[boat for boat, _ in lines]]
    # A boat whose lay-up is not known may run in any month.
    afloat = of_line["lay_up"].ne("ashore").to_numpy()
    readings, findings = _readings(records, lines)
    given = of_line["hours_per_season"].to_numpy(dtype=np.float64) * share
    meters: list[Meter] = []
    for (boat, position), (days, hours, sources) in zip(lines, readings, strict=True):
        k = len(meters)
        active = active_years(days, bool(afloat[k]), rule)
        runs = [] if given[k] == 0 else stuck_runs(days, active, hours, rule)
        meter = joined_meter(active, hours * share, runs)
        meters.append(meter)
        findings += [
            _stuck(sources[i + 1 : j + 1], f"{hours[j]:g} ({boat}, {position})") for i, j in runs
        ]
        for i in meter.falls:
            fell = f"{hours[i]:g} after {hours[:i].max():g} ({boat}, {position})"
            findings.append(_fall(sources[i], fell, is_new=i in meter.new))
    metered = np.array([meter.rate for meter in meters], dtype=np.float64)
    known = np.where(np.isnan(metered), given, metered)
    fleet = float(np.nanmean(known)) if np.isfinite(known).any() else DEFAULT_HOURS_PER_YEAR
    past = np.where(np.isnan(known), fleet, known)
    future = np.where(np.isnan(given), past, given)
    basis = tuple(
        "meter" if np.isfinite(m) else "hours_per_season" if np.isfinite(g) else "fleet"
        for m, g in zip(metered, given, strict=True)
    )
    findings += _without_hours(records, lines, basis, fleet)
    knots, knot_hours = [], []
    today = np.array([day_number(records.as_of)])
    now = {flag: float(active_years(today, flag, rule)[0]) for flag in (True, False)}
    for k, meter in enumerate(meters):
        x, y = _extended(meter.active, meter.ran(past[k]), now[bool(afloat[k])], past[k], future[k])
        knots.append(x)
        knot_hours.append(y)
    of_boat = [boat for boat, _ in lines]
    year_spread = spread_of_year(meters, past, of_boat)
    stated = stated_spread(given, metered, of_boat)
    between = between_boats(known, of_boat)
    past_spread = spread_of_rate(meters, year_spread, basis, stated, between)
    usage = ShaftHours(
        lines=lines,
        afloat=afloat,
        past_rate=past,
        rate=future,
        basis=basis,
        rule=rule,
        knots=tuple(knots),
        knot_hours=tuple(knot_hours),
        read=tuple(meter.active for meter in meters),
        sure=tuple(sure_steps(meter) for meter in meters),
        year_spread=year_spread,
        past_spread=past_spread,
        # What is stated of hours to come is as good as such words were where a meter shows it.
        rate_spread=np.where(np.isnan(given), past_spread, stated),
    )
    return usage, findings


def _lines(records: Records) -> dict[tuple[str, str], int]:
    parts = records.tables[PARTS.file]
    keys = sorted(set(zip(parts["boat"], parts["position"], strict=True)))
    return {key: number for number, key in enumerate(keys)}


Place = tuple[str, int]
"""File and row."""


def _readings(
    records: Records, lines: dict[tuple[str, str], int]
) -> tuple[list[tuple[Floats, Floats, list[Place]]], list[Finding]]:
    """Days, meter hours and places in the files of each line's readings, one a day, by day."""
    hours, parts = records.tables[HOURS.file], records.tables[PARTS.file]
    middle = (day_numbers(hours["read_on_lo"]) + day_numbers(hours["read_on_hi"])) / 2
    stated = hours[["boat", "position", "hours", "row"]].assign(day=middle, file=HOURS.file)
    # A boat's one meter without a side serves all its lines.
    sides: dict[str, list[str]] = {}
    for boat, position in lines:
        sides.setdefault(boat, []).append(position)
    sided, one_meter = stated[stated["position"] != ""], stated[stated["position"] == ""]
    spread = one_meter.assign(position=one_meter["boat"].map(sides)).explode("position")
    written = []
    for end in ("fitted", "removed"):
        day_known = parts[f"{end}_on_lo"].eq(parts[f"{end}_on_hi"])
        some = parts[day_known & parts[f"{end}_hours"].notna()]
        written.append(
            some[["boat", "position", "row"]].assign(
                hours=some[f"{end}_hours"], day=day_numbers(some[f"{end}_on_lo"]), file=PARTS.file
            )
        )
    every = pd.concat([sided, spread, *written], ignore_index=True)
    every["line"] = [
        lines.get(key, -1) for key in zip(every["boat"], every["position"], strict=True)
    ]
    findings = _without_part(every[every["line"] < 0])
    # hours.csv goes before parts.csv where both tell of one day.
    every = every[every["line"] >= 0].sort_values(["line", "day", "file", "hours", "row"])
    every = every.drop_duplicates(["line", "day"])
    of_line = np.searchsorted(every["line"], np.arange(len(lines) + 1))
    days, read = every["day"].to_numpy(dtype=np.float64), every["hours"].to_numpy(dtype=np.float64)
    places = list(zip(every["file"], every["row"], strict=True))
    return [(days[i:j], read[i:j], places[i:j]) for i, j in pairwise(of_line.tolist())], findings


def _extended(
    active: Floats, cumulative: Floats, now: float, past: float, future: float
) -> tuple[Floats, Floats]:
    """Knots that reach far both ways: the past rate up to `now`, the expected one after it."""
    reach = 400.0
    if not len(active):
        active, cumulative = np.array([now]), np.array([0.0])
    before = cumulative[0] - past * reach
    x, y = [active[0] - reach, *active], [before, *cumulative]
    if now > active[-1]:
        x.append(now)
        y.append(cumulative[-1] + past * (now - active[-1]))
    x.append(x[-1] + reach)
    y.append(y[-1] + future * reach)
    return np.array(x), np.array(y)


def _fall(place: Place, fell: str, *, is_new: bool) -> Finding:
    read_as = (
        "a new meter; the hours in between follow the line's own rate"
        if is_new
        else "no new meter, as it falls by less than half: the higher reading stands"
    )
    file, row = place
    return Finding(
        file,
        row,
        "hours" if file == HOURS.file else "fitted_hours, removed_hours",
        fell,
        "hours that do not fall",
        "assumed",
        f"Read as {read_as}. If it is a slip, correct the reading.",
        "meter_replaced",
    )


def _stuck(places: list[Place], reading: str) -> Finding:
    file, row = places[0]
    return Finding(
        file,
        row,
        "hours" if file == HOURS.file else "fitted_hours, removed_hours",
        f"still {reading}",
        "hours that rise while the boat is in use",
        "assumed",
        "Read as a meter that has stuck; the hours in between follow the line's own rate. If the "
        "boat lay idle, set hours_per_season in boats.csv to 0, or leave these readings out.",
        "meter_replaced",
        tuple(other for name, other in places[1:] if name == file),
    )


def _without_part(readings: pd.DataFrame) -> list[Finding]:
    if readings.empty:
        return []
    lines = sorted(set(zip(readings["boat"], readings["position"].fillna(""), strict=True)))
    names = [f"{boat}, {position}" if position else boat for boat, position in lines]
    return [
        Finding(
            HOURS.file,
            None,
            "position",
            _first_few(names),
            "a shaft line with a part in parts.csv",
            "noted",
            f"{len(readings)} reading(s) of {len(lines)} line(s) are not used: correct the side, "
            "or add the parts.",
            "side_missing",
        )
    ]


def _without_hours(
    records: Records, lines: dict[tuple[str, str], int], basis: tuple[str, ...], fleet: float
) -> list[Finding]:
    parts, settings = records.tables[PARTS.file], records.settings
    aged_so = [settings.kind(kind).clock == "hours" for kind in parts["kind"]]
    by_hours = parts[np.array(aged_so, dtype=bool)]
    needed = set(zip(by_hours["boat"], by_hours["position"], strict=True))
    bare = sorted({line[0] for line in needed if basis[lines[line]] == "fleet"})
    if not bare:
        return []
    return [
        Finding(
            HOURS.file,
            None,
            "hours",
            _first_few(bare),
            "meter readings, or hours_per_season in boats.csv",
            "assumed",
            f"{fleet:.0f} shaft hours a year stand in for {len(bare)} boat(s); "
            f"give their hours to do better. shaft_share in {SETTINGS_FILE} turns meter hours "
            "into shaft hours.",
            "hours_missing",
        )
    ]


def _first_few(names: list[str], most: int = 5) -> str:
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return "; ".join(names[:most]) + more
