"""The risk of a season: the chance that a part now in service fails in it.

The mean over the draws of the posterior is the risk; the interval spreads over
the draws, the effects of the part's own groups among them, and over the days on
which an undated part may have been fitted. It is the chance as things stand:
nothing is renewed before the season. A part that was sound when it was last seen
is known to have lasted until then, and only what comes after counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics.ageing.curves import BAND
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.ageing.wear.hours_to_limit import Wear
from analytics.ageing.wear.own_lives import OwnLives
from analytics.lives import IN_SERVICE, Lives
from analytics.outlook.bases import BASE_COLUMNS, bases_table
from analytics.outlook.chances import Chances, ages_ahead, chances
from analytics.outlook.counts import count_distribution, count_quantiles
from analytics.outlook.joined import Grouped, mean_of_draws
from analytics.outlook.worst_boats import chance_among_worst, how_many_worst
from analytics.records.seasons import Season
from analytics.usage import DAYS_PER_YEAR, day_number, day_numbers

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class SeasonRisk:
    """The risk of one season for every part, boat and the fleet.

    Attributes
    ----------
    season : Season
    parts : DataFrame
        A row per part in service, see `season_risk`.
    boats : DataFrame
        A row per boat with such a part, highest risk first.
    during : ndarray, shape (n_draws, n_parts)
        Chances behind `parts`, in its order.
    at_start : ndarray, shape (n_draws, n_parts)
        The same for one day of fitting per draw: what intervals are taken from.
    counts : ndarray
        Probability of 0, 1, 2, ... failures in the season over the fleet.
    bases : DataFrame
        A row per base and one for the fleet, see `bases.bases_table`.
    read : mapping of PartsOfKind
        By kind and group, the parts that their own readings move: they are worked out
        together, and alone would differ in the last digits.
    """

    season: Season
    parts: pd.DataFrame
    boats: pd.DataFrame
    during: Floats
    at_start: Floats
    counts: Floats
    bases: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=BASE_COLUMNS))
    read: Mapping[tuple[str, str], PartsOfKind] = field(default_factory=dict)

    @property
    def expected(self) -> float:
        """Expected failures of the fleet in the season."""
        return float(self.parts["risk"].sum())

    @property
    def expected_before(self) -> float:
        """Expected failures before the season, those not yet seen among them."""
        return float(self.parts["risk_before"].sum())

    @property
    def expected_hidden(self) -> float:
        """Expected parts that are already worn and that only a lift will show."""
        return float(self.parts["risk_hidden"].sum())

    @property
    def expected_after(self) -> float:
        """Expected failures from the season's end to the next season's start."""
        return float(self.parts["risk_after"].sum())

    @property
    def worst(self) -> int:
        """How many boats "among the worst" stands for."""
        return how_many_worst(len(self.boats))

    @property
    def likely_range(self) -> tuple[int, int]:
        """90 % range of the number of failures: parameters and luck together."""
        low, high = count_quantiles(self.counts, BAND)
        return low, high


def season_risk(
    lives: Lives,
    ageing: FleetAgeing,
    season: Season,
    seed: int = 0,
    own: FleetOwnLives | None = None,
) -> SeasonRisk:
    """The risk of a season for every part in service.

    Parameters
    ----------
    lives : Lives
    ageing : mapping
        From `ageing.fit.fleet_ageing`.
    season : Season
        One that ends after the last day watched.
    seed : int
        Source of chance for the days of fitting that intervals spread over.
    own : mapping, optional
        From `fleet_own_lives`: parts that their own readings move.

    Returns
    -------
    SeasonRisk
        `parts` has `PART_COLUMNS`: the age (a range where the fitting is not
        known to the day), `risk` in the season with its 90 % interval,
        `risk_before` the season, `risk_hidden` (already worn on the last day
        watched, for kinds that show it only ashore), `risk_by_end` (before the
        season or in it), `risk_after` (from its end to the next season's start),
        `lives` and `failures` behind the curve, `grade`, the three causes of `risk`,
        covariates, and `sound_on`, the day on which it is last known to have been sound.

    Raises
    ------
    ValueError
        If the season is already over on the last day watched.
    """
    if day_number(season.end) <= day_number(lives.as_of):
        raise ValueError(f"the season {season.year} is over on {lives.as_of}")
    read: dict[tuple[str, str], PartsOfKind] = {}

    def pieces() -> Iterator[PartsOfKind]:
        for key, fitted in ageing.items():
            if not (fitted.table["outcome"] == IN_SERVICE).any():
                continue
            moved = (own or {}).get(key)
            of_kind = parts_of_kind(lives, fitted, season, seed, moved)
            if moved is not None and len(moved):
                read[key] = of_kind.some(of_kind.parts["life"].isin(moved.life).to_numpy())
            yield of_kind

    risk = joined_risk(season, pieces())
    return replace(risk, read=read)


@dataclass(frozen=True)
class PartsOfKind:
    """The parts in service of one kind and group.

    Attributes
    ----------
    parts : DataFrame
        `PART_COLUMNS`, a row per part.
    chances : Chances
        A column per part; with an `after`.
    """

    parts: pd.DataFrame
    chances: Chances

    def some(self, chosen: npt.NDArray[np.bool_]) -> PartsOfKind:
        """Some of the parts."""
        columns = {name: values[..., chosen] for name, values in vars(self.chances).items()}
        return PartsOfKind(self.parts[chosen].reset_index(drop=True), Chances(**columns))

    def with_part(self, other: PartsOfKind, life: int) -> PartsOfKind:
        """One part as it stands in another table, and all others as they are."""
        at, there = (
            int(np.flatnonzero(of_kind.parts["life"] == life)[0]) for of_kind in (self, other)
        )
        columns: dict[str, Floats] = {}
        for name, values in vars(self.chances).items():
            columns[name] = values.copy()
            columns[name][..., at] = getattr(other.chances, name)[..., there]
        parts = self.parts.reset_index(drop=True)
        for name in parts.columns:
            parts.loc[at, name] = other.parts[name].iloc[there]
        return PartsOfKind(parts, Chances(**columns))


def parts_of_kind(
    lives: Lives, fitted: Ageing, season: Season, seed: int = 0, own: OwnLives | None = None
) -> PartsOfKind:
    """Chances over a season of the parts in service of one kind and group.

    Each part draws from streams of its own, so that its chances are the same to the last
    digit whatever other parts stand in `fitted.table`.

    Parameters
    ----------
    fitted : Ageing
        Of all lives, or of some of them with their nodes.
    own : OwnLives, optional
        Of all of these lives.
    """
    as_of = day_number(lives.as_of)
    begin, end = max(day_number(season.start), as_of), day_number(season.end) + 1
    following = lives.settings.seasons.season(season.year + 1)
    later = max(day_number(following.start), end)
    rows = fitted.table[fitted.table["outcome"] == IN_SERVICE]
    ages = ages_ahead(lives, fitted, begin, end, seed, own, later=later)
    found = chances(fitted.posterior, ages)
    return PartsOfKind(_parts_table(lives, fitted, rows, found, as_of), found)


_DRAWN = ("before", "during", "at_start", "hidden", "after")


def joined_risk(season: Season, pieces: Iterable[PartsOfKind]) -> SeasonRisk:
    """Parts of several kinds joined into boats, bases and the fleet."""
    tables: list[pd.DataFrame] = []
    columns: dict[str, list[Floats]] = {name: [] for name in _DRAWN}
    for piece in pieces:
        tables.append(piece.parts)
        for name in _DRAWN:
            columns[name].append(getattr(piece.chances, name))
    if not tables:
        nothing, parts = np.empty((1, 0)), pd.DataFrame(columns=PART_COLUMNS)
        boats = pd.DataFrame(columns=BOAT_COLUMNS)
        return SeasonRisk(season, parts, boats, nothing, nothing, np.ones(1))
    parts = pd.concat(tables, ignore_index=True)
    # The draws of a large fleet fill the memory: those of one kind go as soon as they are joined.
    drawn = {name: np.concatenate(columns.pop(name), axis=1) for name in _DRAWN}
    windows = {"before": drawn["before"], "in_season": drawn["during"], "after": drawn["after"]}
    return SeasonRisk(
        season=season,
        parts=parts,
        boats=_boats_table(parts, drawn),
        during=drawn["during"],
        at_start=drawn["at_start"],
        counts=count_distribution(drawn["during"]),
        bases=bases_table(parts, windows),
    )


def failing_by_end(risk: SeasonRisk, wear: Wear, own: OwnLives) -> dict[int, float]:
    """Chance that bearings fail before the season ends, by life; those that their readings move.

    Parameters
    ----------
    risk : SeasonRisk
        Taken with `own` among the parts moved.
    wear : Wear
        Of the same kind and group.
    own : OwnLives
    """
    by_source = dict(zip(risk.parts["source"], risk.parts["risk_by_end"], strict=True))
    read = wear.parts[wear.parts["life"].isin(own.life)]
    return {
        int(life): float(by_source[source])
        for life, source in zip(read["life"], read["source"], strict=True)
        if source in by_source
    }


PART_COLUMNS = [
    *("boat", "position", "kind", "age_low", "age_high", "clock"),
    *("risk", "risk_low", "risk_high", "risk_before", "lives", "failures", "grade"),
    *("risk_hidden", "risk_by_end", "risk_worn_out", "risk_early", "risk_accident"),
    *("base", "lay_up", "water", "lot", "size", "part_no", "group"),
    *("start_lo", "start_hi", "source"),
    *("risk_after", "sound_on", "life"),
]


def _parts_table(
    lives: Lives, fitted: Ageing, rows: pd.DataFrame, found: Chances, as_of: float
) -> pd.DataFrame:
    table = rows[[name for name in PART_COLUMNS if name in rows]].copy()
    for bound, start in (("age_low", "start_hi"), ("age_high", "start_lo")):
        table[bound] = age_of(lives, fitted, rows, day_numbers(rows[start]), as_of)
    table["sound_on"] = rows["end_lo"]
    table["lives"], table["failures"], table["grade"] = fitted.lives, fitted.failures, fitted.grade
    return with_chances(table, found)[PART_COLUMNS]


def with_chances(parts: pd.DataFrame, found: Chances) -> pd.DataFrame:
    """A table of parts with these chances, which have an `after`, in place of any other."""
    table = parts.copy()
    low, high = np.quantile(found.at_start, BAND, axis=0)
    table["risk"], table["risk_low"], table["risk_high"] = mean_of_draws(found.during), low, high
    table["risk_before"] = mean_of_draws(found.before)
    table["risk_hidden"] = mean_of_draws(found.hidden)
    assert found.after is not None  # asked for in `parts_of_kind`
    table["risk_after"] = mean_of_draws(found.after)
    table["risk_by_end"] = table["risk_before"] + table["risk"]
    table["risk_worn_out"], table["risk_early"] = found.worn_out, found.early
    table["risk_accident"] = found.accident
    return table


def age_of(lives: Lives, fitted: Ageing, rows: pd.DataFrame, start: Floats, day: float) -> Floats:
    """Age on the kind's clock, on a day, of parts fitted on the days given."""
    if fitted.kind.clock == "years":
        return np.maximum(day - start, 0.0) / DAYS_PER_YEAR
    line = lives.usage.line_of(rows["boat"], rows["position"])
    ran = lives.usage.hours_at(line, np.full(len(start), day)) - lives.usage.hours_at(line, start)
    return np.maximum(ran, 0.0)


BOAT_COLUMNS = [
    *("boat", "base", "risk", "risk_low", "risk_high", "risk_before", "risk_hidden"),
    *("risk_by_end", "expected_failures", "parts"),
    *("worst_kind", "worst_position", "worst_risk", "grade"),
    *("risk_after", "among_worst"),
]


def _boats_table(parts: pd.DataFrame, drawn: Mapping[str, Floats]) -> pd.DataFrame:
    """Parts joined per boat: one minus the chance that all of them last, for each draw."""
    by_boat = Grouped(parts["boat"])
    of_draws = by_boat.any_of(drawn["at_start"])
    low, high = np.quantile(of_draws, BAND, axis=0)
    by_end = np.minimum(drawn["before"] + drawn["during"], 1.0)
    worst = parts.sort_values(["boat", "risk"], ascending=[True, False], kind="stable")
    worst = worst.drop_duplicates("boat").reset_index(drop=True)
    grouped = parts.groupby("boat", sort=True)
    table = pd.DataFrame(
        {
            "boat": worst["boat"],
            "base": worst["base"],
            "risk": mean_of_draws(by_boat.any_of(drawn["during"])),
            "risk_low": low,
            "risk_high": high,
            "risk_before": mean_of_draws(by_boat.any_of(drawn["before"])),
            "risk_hidden": mean_of_draws(by_boat.any_of(drawn["hidden"])),
            "risk_by_end": mean_of_draws(by_boat.any_of(by_end)),
            "expected_failures": grouped["risk"].sum().to_numpy(),
            "parts": grouped.size().to_numpy(),
            "worst_kind": worst["kind"],
            "worst_position": worst["position"],
            "worst_risk": worst["risk"],
            "grade": worst["grade"],
            "risk_after": mean_of_draws(by_boat.any_of(drawn["after"])),
            "among_worst": chance_among_worst(of_draws, how_many_worst(len(worst))),
        }
    )
    return table.sort_values(["risk", "boat"], ascending=[False, True], ignore_index=True)
