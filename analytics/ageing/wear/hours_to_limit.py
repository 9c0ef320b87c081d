"""How many shaft hours, and until when, a bearing keeps within its limit by the readings taken.

For each bearing in service that has readings. The hours are those of a straight
path carried on; the dates go by the hours a year that are expected of the boat,
and their ranges hold how far she may be from those. No reading makes a part good:
it says what was measured on its day.

Bearings of all sizes are taken to reach their limits in like hours, as a curve
of failures over all sizes takes them: one with more to wear away wears faster
in mm. Rates are therefore shared as those of a bearing of `MIDDLE` size.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.clocks import Nodes, nodes_of
from analytics.ageing.hours_in_doubt import hours_in_doubt
from analytics.ageing.likelihood import lives_of
from analytics.ageing.wear.straight_lines import PER, Paths, paths_of
from analytics.ageing.wear.wear_paths import (
    FITTING,
    PathDraws,
    Shared,
    belief_of,
    drawn_paths,
    sampled,
)
from analytics.ageing.wear.wear_readings import WearReadings
from analytics.lives import IN_SERVICE, Lives
from analytics.records.wear_limits import LIMITS, WearBelief, WearLimit, WearSettings
from analytics.usage import active_years, day_number, day_numbers, days_of_use

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

BAND = (0.05, 0.5, 0.95)
"""Lower end, middle and upper end of a 90 % interval."""

LAST_DAY = day_number(pd.Timestamp("2200-01-01").date())
"""A limit that is reached later than this has no date."""

MIDDLE = "30 mm"
"""The size of bearing that shared rates are of."""

_FAR_OFF = 2.5
"""Deviations of the belief by which what the readings say may differ from it untold."""

_FEW_HOURS = 20.0
"""Below this no share of the hours run is taken."""

UNREAD = (
    "Only bearings that lived to be read are here: those that wore fast and were renewed before "
    "anybody measured them are missing. The rate shared by all may therefore be too low, and the "
    "hours left too many, most of all for bearings read once."
)

_ANY_SIZE = (0.08, 0.28)
"""Clearance of new bearings of a size that has no limits: the range over all sizes."""


@dataclass(frozen=True)
class Wear:
    """Wear paths of one kind, and what they say.

    Attributes
    ----------
    kind : str
    table : DataFrame
        A row per path, rows of `Lives.table`, with `shaft_size` (the part's
        own, the boat's where it has none) and `readings`, their number.
    readings : DataFrame
        The readings used, see `WearReadings`, with `hours`: shaft hours since fitting, on
        average over the days of fitting drawn.
    limits : tuple of WearLimit or None
        For each path; None where its size has no limit.
    belief : WearBelief
    nodes : Nodes
        Ages at the nodes of fitting, a life per path and a node per row of `paths`.
    paths : Paths
    shared : Shared
    draws : PathDraws
    hours_run : ndarray, shape (n_rows,)
        Shaft hours from each node of fitting to the last day watched.
    size_factor : ndarray, shape (n_paths,)
        By what each wears faster, in mm, than one of `MIDDLE` size would.
    parts : DataFrame
        A row per bearing in service with readings, see `PART_COLUMNS`.
    hours : ndarray, shape (n_draws, n_parts)
        Hours to the renew limit behind `parts`, below 0 where it is passed, NaN
        without a limit.
    days : ndarray, shape (n_draws, n_parts)
        Days since 1970-01-01 on which it is reached, hours to come in doubt; infinite after
        `LAST_DAY`.
    longest : float
        Most shaft hours since fitting at which anything was read.
    """

    kind: str
    table: pd.DataFrame
    readings: pd.DataFrame
    limits: tuple[WearLimit | None, ...]
    belief: WearBelief
    nodes: Nodes
    paths: Paths
    shared: Shared
    draws: PathDraws
    hours_run: Floats
    size_factor: Floats
    parts: pd.DataFrame
    hours: Floats
    days: Floats
    longest: float


PART_COLUMNS = [
    *("boat", "position", "kind", "life", "size", "readings", "last_read_on", "last_mm"),
    *("limit_mm", "watch_mm", "limit_from", "hours_run"),
    *("clearance_low", "clearance", "clearance_high", "rate_low", "rate", "rate_high"),
    *("hours_low", "hours", "hours_high", "date_low", "date", "date_high"),
    *("at_limit_low", "at_limit", "at_limit_high"),
    *("over_limit", "over_watch", "source"),
]
"""`clearance` (mm, on the last day watched), `rate` (mm per 1,000 shaft hours), `hours` and `date`
to the renew limit: medians with 90 % intervals, 0 hours where the limit is passed. `at_limit`:
shaft hours since fitting when it is, or was, reached. `over_limit` and `over_watch`: share of the
draws that are past it on the last day watched."""


def kind_wear(
    lives: Lives,
    readings: WearReadings,
    wear: WearSettings,
    kind: str,
    seed: int = 0,
    *,
    group: str | None = None,
    of_fit: pd.DataFrame | None = None,
) -> Wear | None:
    """Wear paths of one kind.

    Parameters
    ----------
    lives : Lives
    readings : WearReadings
    wear : WearSettings
    kind : str
        Such as "cutless_bearing".
    seed : int
        Source of chance; every kind and group draws from a stream of its own.
    group : str, optional
        What the lives are called, such as a lot set apart.
    of_fit : DataFrame, optional
        Only these lives, named by `life`: those of one fit (`fit.Ageing.table`), whose groups
        may be others than those of the table of lives.

    Returns
    -------
    Wear or None
        None where no reading of the kind is on a path.
    """
    of_kind = lives.table[lives.table["kind"] == kind]
    if of_fit is not None:
        of_kind = of_kind[of_kind["life"].isin(of_fit["life"])]
    of_kind, used = of_kind.reset_index(drop=True), readings.used(kind)
    used = used[used["life"].isin(of_kind["life"])]
    if used.empty:
        return None
    chosen = np.flatnonzero(of_kind["life"].isin(used["life"]).to_numpy())
    nodes = lives_of(nodes_of(lives, of_kind), np.isin(np.arange(len(of_kind)), chosen))
    table = of_kind.iloc[chosen].reset_index(drop=True)
    by_life = used.groupby("life", sort=True)
    table["shaft_size"] = by_life["size"].first().loc[table["life"]].to_numpy()
    table["readings"] = by_life.size().loc[table["life"]].to_numpy()
    limits = tuple(wear.limit_of(kind, size) for size in table["shaft_size"])

    line = lives.usage.line_of(table["boat"], table["position"])
    at_start = lives.usage.hours_at(line[nodes.life], nodes.start)
    row, reading = _rows_of(nodes, table, used)
    read = (day_numbers(used["read_lo"]) + day_numbers(used["read_hi"])) / 2
    at_reading = lives.usage.hours_at(line[nodes.life[row]], read[reading])
    ran_more = _ran_more(nodes, line, at_start, day_numbers(table["end_hi"]), lives)
    hours = np.maximum(at_reading - at_start[row], 0.0) * ran_more[row]
    factor = np.array([size_factor(limit) for limit in limits])
    new = np.array([limit.new_mm if limit else _ANY_SIZE for limit in limits])
    # In the rates of a bearing of the middle size: as many more hours as it wears faster.
    paths = paths_of(
        row,
        hours * factor[nodes.life[row]],
        used["mm"].to_numpy()[reading],
        used["error_factor"].to_numpy()[reading],
        nodes.first,
        _possible(nodes, row, day_numbers(used["read_hi"])[reading]),
        (new[:, 0], new[:, 1]),
    )
    streams = np.random.SeedSequence([seed, crc32(f"wear|{kind}|{group}".encode())]).spawn(2)
    shared = sampled(paths, wear.belief, np.random.default_rng(streams[0]))
    draws = drawn_paths(paths, shared, np.random.default_rng(streams[1]))
    draws = replace(draws, rate=draws.rate * factor)
    now = np.full(len(line), day_number(lives.as_of))
    run = (lives.usage.hours_at(line, now)[nodes.life] - at_start) * ran_more

    serving = np.flatnonzero((table["outcome"] == IN_SERVICE).to_numpy())
    renew = np.array([limits[i].renew_mm if limits[i] else np.nan for i in serving])  # type: ignore[union-attr]
    ran = run[draws.row[:, serving]]
    fitted, rate = draws.at_fitting[:, serving], draws.rate[:, serving]
    left = (renew - fitted) / rate * PER - ran
    fitted_on = (nodes.start * nodes.weight)[None, :]
    fitted_on = np.add.reduceat(fitted_on, nodes.first, axis=1)[0, serving]
    days = _days_to_limit(lives, line[serving], np.maximum(left, 0.0), fitted_on, seed)
    clearance = fitted + rate * ran / PER
    parts = _parts(lives, table.iloc[serving], [limits[i] for i in serving], used)
    parts = _with_draws(parts, ran, clearance, rate, left, days)
    drawn = np.bincount(draws.row.ravel(), minlength=len(run)) / len(shared)
    used = used.assign(hours=np.bincount(reading, drawn[row] * hours, len(used)))
    return Wear(
        kind=kind,
        table=table,
        readings=used.reset_index(drop=True),
        limits=limits,
        belief=wear.belief,
        nodes=nodes,
        paths=paths,
        shared=shared,
        draws=draws,
        hours_run=run,
        size_factor=factor,
        parts=parts,
        hours=left,
        days=days,
        longest=float(hours.max()),
    )


def in_words(wear: Wear) -> list[str]:
    """What was read and what is supposed, for the head of a page."""
    n, paths = int(wear.table["readings"].sum()), len(wear.table)
    low, rate, high = np.quantile(np.exp(wear.shared.log_rate), BAND)
    said = [
        f"{n} {'reading' if n == 1 else 'readings'} of {paths} "
        f"{'bearing' if paths == 1 else 'bearings'}, up to {wear.longest:,.0f} shaft hours after "
        f"fitting. The middle bearing, were it of {MIDDLE}, wears {rate:.2f} mm in 1,000 hours "
        f"({low:.2f} to {high:.2f}).",
        "Each bearing is taken to wear along a straight line at a rate of its own; rubber that "
        "comes off its shell does not. Beyond the hours read so far the line is only carried on.",
        "A reading is what was measured that day. It does not make a part good, promises nothing "
        "and is no inspection; dates go by the hours a year expected of the boat, more or less.",
        UNREAD,
    ]
    middle, spread = belief_of(wear.belief)
    away = (np.median(wear.shared.rows, axis=0) - middle) / spread
    # Less spread and less error than was believed are nothing to look into.
    away[[0, 3]] = np.abs(away[[0, 3]])
    if away.max() > _FAR_OFF or wear.shared.effective < FITTING:
        said.append(
            "These readings fit no straight lines that were believed possible: look for slips of "
            "the pen, wrong units and renewals that are not written down before using them."
        )
    bare = sum(limit is None for limit in wear.limits)
    if bare:
        said.append(
            f"{bare} of them are of a size without a limit: no hours are given. A limit for one "
            "size is not used for another, and 25 mm is not 1 in."
        )
    return said


def size_factor(limit: WearLimit | None) -> float:
    """What a bearing has to wear away, over what one of `MIDDLE` size has; 1 without a limit."""
    return 1.0 if limit is None else _room(limit) / _room(LIMITS[MIDDLE])


def _room(limit: WearLimit) -> float:
    return limit.renew_mm - sum(limit.new_mm) / 2


def _rows_of(nodes: Nodes, table: pd.DataFrame, used: pd.DataFrame) -> tuple[Ints, Ints]:
    """Rows of nodes and numbers of readings, each reading once for every node of its life."""
    number = pd.Series(np.arange(len(table)), index=table["life"])
    path = number.loc[used["life"]].to_numpy()
    sizes = np.diff(np.append(nodes.first, len(nodes.life)))[path]
    reading = np.repeat(np.arange(len(used)), sizes)
    within = np.arange(len(reading)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    return (nodes.first[path][reading] + within).astype(np.int64), reading.astype(np.int64)


def _ran_more(nodes: Nodes, line: Ints, at_start: Floats, ended: Floats, lives: Lives) -> Floats:
    """Hours of each node over those of the meter: where these are not sure, nodes differ in them.

    What a shaft ran more until the end it also ran more until each reading.
    """
    ran = lives.usage.hours_at(line[nodes.life], ended[nodes.life]) - at_start
    known = ran > _FEW_HOURS
    ratio = np.divide(nodes.upper, ran, out=np.ones(len(ran)), where=known)
    return np.asarray(np.clip(ratio, 0.2, 5.0))


def _possible(nodes: Nodes, row: Ints, read: Floats) -> Floats:
    """Weights of the nodes without those that lie after a reading; of all, if all do."""
    first_read = np.full(len(nodes.life), np.inf)
    np.minimum.at(first_read, row, read)
    weight = np.where(nodes.start <= first_read, nodes.weight, 0.0)
    none_left = np.add.reduceat(weight, nodes.first) <= 0
    # The first node of a window stands for its first days.
    weight[nodes.first[none_left]] = 1.0
    return weight


def _days_to_limit(lives: Lives, line: Ints, left: Floats, fitted_on: Floats, seed: int) -> Floats:
    """Days on which hours left are run, draw by draw, with the doubt about the hours of each boat.

    What is left is in the hours that were expected of the boat so far: if she has truly run
    more, her bearing wears more slowly an hour, and more hours are left.
    """
    if not len(line):
        return np.empty(left.shape)
    as_of = day_number(lives.as_of)
    middle = np.median(_days_ahead(lives, line, left), axis=0)
    until = np.where(np.isfinite(middle), middle, LAST_DAY)
    doubt = hours_in_doubt(lives.usage, line, fitted_on, as_of, until, len(left), seed)
    return _days_ahead(lives, line, left * doubt.run / doubt.coming)


def _days_ahead(lives: Lives, line: Ints, hours: Floats) -> Floats:
    """Days on which so many more hours will have been run at the expected rate."""
    usage, as_of = lives.usage, np.array([day_number(lives.as_of)])
    days = np.full(hours.shape, np.inf)
    for i, k in enumerate(line):
        if usage.rate[k] <= 0:
            days[:, i] = np.where(hours[:, i] <= 0, as_of[0], np.inf)
            continue
        afloat = bool(usage.afloat[k])
        now = active_years(as_of, afloat, usage.rule)[0]
        ahead = np.minimum(hours[:, i] / usage.rate[k], 200.0)
        days[:, i] = np.maximum(days_of_use(now + ahead, afloat, usage.rule), as_of[0])
    days[np.isnan(hours)] = np.nan
    days[days > LAST_DAY] = np.inf
    return days


def _parts(
    lives: Lives, rows: pd.DataFrame, limits: list[WearLimit | None], used: pd.DataFrame
) -> pd.DataFrame:
    table = rows[["boat", "position", "kind", "life", "readings", "source"]].copy()
    table["size"] = rows["shaft_size"]
    last = used.sort_values(["life", "read_hi", "mm"], kind="stable").groupby("life").last()
    last = last.loc[table["life"]]
    table["last_read_on"], table["last_mm"] = last["read_hi"].to_numpy(), last["mm"].to_numpy()
    table["limit_mm"] = [limit.renew_mm if limit else np.nan for limit in limits]
    table["watch_mm"] = [limit.watch_mm if limit else np.nan for limit in limits]
    none = "no limit for this size"
    table["limit_from"] = [limit.whose_is("renew") if limit else none for limit in limits]
    return table.reset_index(drop=True)


def _with_draws(
    parts: pd.DataFrame, ran: Floats, clearance: Floats, rate: Floats, left: Floats, days: Floats
) -> pd.DataFrame:
    parts["hours_run"] = np.median(ran, axis=0)
    drawn = {"clearance": clearance, "rate": rate, "hours": np.maximum(left, 0.0)}
    drawn["at_limit"] = np.maximum(left + ran, 0.0)
    for name, values in drawn.items():
        low, middle, high = np.quantile(values, BAND, axis=0)
        parts[f"{name}_low"], parts[name], parts[f"{name}_high"] = low, middle, high
    # Not interpolated: between a day and never there is no day.
    bounds = np.quantile(days, BAND, axis=0, method="inverted_cdf")
    for name, values in zip(("date_low", "date", "date_high"), bounds, strict=True):
        known = np.where(np.isfinite(values), np.floor(values), np.nan)
        parts[name] = pd.to_datetime(known, unit="D", origin="unix")
    for name, mark in (("over_limit", "limit_mm"), ("over_watch", "watch_mm")):
        marks = parts[mark].to_numpy()
        parts[name] = np.where(np.isnan(marks), np.nan, (clearance >= marks).mean(axis=0))
    return parts[PART_COLUMNS]
