"""Fleets with a season to come that is known: what the program is told, and what is true.

Of `known_fleet` the truth is drawn from what the program believes beforehand, and the records are
those that the likelihood assumes (see `coverage_fleets`): intervals must then hold as often as they
say. Of `sample_fleet` the truth is that of the invented fleet, of which the program believes
something else, and the records have its defects, bases, bad lot, meters and habits.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any
from unittest import mock

import numpy as np
import numpy.typing as npt
import pandas as pd

from analytics import job
from analytics.ageing.clocks import nodes_of
from analytics.ageing.fit import Ageing, FleetAgeing, kind_ageing
from analytics.ageing.posterior import Posterior, prior_of
from analytics.ageing.wear.fleet_wear import FleetOwnLives
from analytics.decisions.prices import Price, PriceList, price_list
from analytics.lives import IN_SERVICE, Lives
from analytics.records.kinds import KINDS, Kind, on_the_other_clock
from analytics.records.seasons import Season
from analytics.records.settings import Settings
from analytics.sample import TARNWICK
from analytics.sample import fleet as invented_fleet
from analytics.sample.boats import Berth, Boat, Line, draw_boat
from analytics.sample.records import PartRow
from analytics.sample.scenario import Scenario, TrueKind
from analytics.usage import DAYS_PER_YEAR, ShaftHours
from tests.benchmarks.coverage_fleets import AS_OF, TODAY, Design, invent
from tests.benchmarks.money_coverage_truth import Place, Strike, strike_of, years_between

Floats = npt.NDArray[np.float64]

ORDINAL_OF_1970 = date(1970, 1, 1).toordinal()

BEARINGS = replace(on_the_other_clock(KINDS["cutless_bearing"]), limit=None)
"""Bearings by years: their failures are found at the lift."""

KNOWN_KINDS: dict[str, tuple[Kind, Design]] = {
    "bellows": (replace(KINDS["bellows"], limit=10.0), Design(lives=180, watched=6.0)),
    "gland_hose": (replace(KINDS["gland_hose"], limit=12.0), Design(lives=180, watched=6.0)),
    "cutless_bearing": (BEARINGS, Design(lives=180, watched=6.0, inspected=1.0)),
}
"""What is fitted and how it is recorded; some 110 of each are in service."""

PRICES = {"bellows": (140.0, 7.0, 1.0), "gland_hose": (35.0, 4.0, 0.7),
          "cutless_bearing": (70.0, 7.0, 1.5)}  # fmt: skip
"""Price of the smallest size, hours of labour alone, and with the shaft drawn. Invented."""

SIZES = {"25 mm": 1.0, "40 mm": 1.5, "50 mm": 2.4}
"""Prices of sizes as multiples of the smallest. Invented."""

LATEST_FAILURES = (8, 60)
"""Failures noted in the last year of records: fleets with fewer or more are drawn again. A
condition on the records alone leaves a forecast as right as it was."""

LATER = replace(TARNWICK, last_season=TARNWICK.last_season + 1, as_of=date(2027, 10, 31))
"""The sample's scenario with the hours of one more season."""


@dataclass(frozen=True)
class KnownFleet:
    """A fleet read and fitted, and a way to draw its coming season.

    Attributes
    ----------
    lives, ageing, own, prices
        What the program forecasts from.
    season : Season
    places : callable
        Draws the true places from a source of chance; every call is another season of the same
        fleet, as far as chance still has a part in it.
    failures : int
        In the records.
    """

    lives: Lives
    ageing: FleetAgeing
    own: FleetOwnLives | None
    prices: PriceList
    season: Season
    places: Callable[[np.random.Generator], list[Place]]
    failures: int


# ------------------------------------------------------------------ truth from the prior


def known_fleet(
    seed: tuple[int, ...],
    lives: int | None = None,
    *,
    told: bool = False,
) -> KnownFleet:
    """A fleet of three kinds whose truth is drawn from the program's own beliefs.

    Parameters
    ----------
    lives : int, optional
        Lives of each kind, if not those of `KNOWN_KINDS`.
    told : bool
        The forecast is told the true curves instead of fitting them: luck alone is left.
    """
    rng = np.random.default_rng(list(seed))
    designs = {
        name: (kind, design if lives is None else replace(design, lives=lives))
        for name, (kind, design) in KNOWN_KINDS.items()
    }
    few, many = LATEST_FAILURES
    if lives is not None:
        few, many = 1, 60
    while True:
        truths = {name: _one_of(prior_of(kind, rng), rng) for name, (kind, _) in designs.items()}
        fleets = {
            name: invent(kind, truths[name], design, rng)
            for name, (kind, design) in designs.items()
        }
        tables = [_renamed(fleet.lives.table, name) for name, fleet in fleets.items()]
        table = pd.concat(tables, ignore_index=True)
        failed = table["outcome"] == "failed"
        latest = failed & (table["end_hi"] > pd.Timestamp(AS_OF) - pd.Timedelta(days=365))
        if few <= latest.sum() <= many and all((t["outcome"] == IN_SERVICE).any() for t in tables):
            break
    table.insert(0, "life", np.arange(1, len(table) + 1))
    settings = Settings(as_of=AS_OF, kinds={name: kind for name, (kind, _) in designs.items()})
    whole = Lives(table, _no_meters(table), settings, ())
    fit_seed = int(rng.integers(2**31))
    ageing = {}
    for name in designs:
        of_kind = table[table["kind"] == name]
        ageing[name, "all"] = (
            _as_told(whole, of_kind, truths[name])
            if told
            else kind_ageing(whole, of_kind, fit_seed, factors=False)
        )

    def places(chance: np.random.Generator) -> list[Place]:
        return [
            place
            for (name, fleet), rows in zip(fleets.items(), tables, strict=True)
            for place in _known_places(designs[name][0], truths[name], fleet.start, rows, chance)
        ]

    season = settings.seasons.next_after(AS_OF)
    return KnownFleet(whole, ageing, None, _prices(), season, places, int(failed.sum()))


def _one_of(prior: Posterior, rng: np.random.Generator) -> Posterior:
    at = int(rng.integers(len(prior)))
    one = slice(at, at + 1)
    return replace(
        prior,
        parameters=prior.parameters.part(one),
        accidents=prior.accidents[one],
        method="point",
    )


def _as_told(lives: Lives, table: pd.DataFrame, truth: Posterior) -> Ageing:
    """The same lives, with the one curve that is true."""
    rows = table.reset_index(drop=True)
    return Ageing(
        kind=truth.kind,
        group="all",
        table=rows,
        nodes=nodes_of(lives, rows),
        posterior=truth,
        prior=truth,
        likelihood=None,
        grade="usable",
        units_per_year=1.0,
        worn_out=0,
    )


def _renamed(table: pd.DataFrame, name: str) -> pd.DataFrame:
    """Parts in service on boats that they share with the other kinds; sizes go by the boat."""
    serving = (table["outcome"] == IN_SERVICE).to_numpy()
    number = np.where(serving, np.cumsum(serving), np.arange(len(table)))
    boats = [
        f"Boat {n:04d}" if here else f"Gone {name} {n:04d}"
        for n, here in zip(number, serving, strict=True)
    ]
    sizes = [list(SIZES)[n % len(SIZES)] for n in number]
    return table.assign(
        boat=boats,
        size=sizes,
        part_no=[f"{name} {size}" for size in sizes],
        base="Port Ellorn",
        source=[f"{name}:{i + 2}" for i in range(len(table))],
    )


def _known_places(
    kind: Kind, truth: Posterior, start: Floats, table: pd.DataFrame, rng: np.random.Generator
) -> list[Place]:
    def renewed(day: float) -> Strike:
        strike = strike_of(truth, day, day, day, rng)
        return Strike(max(strike.day, day + 1.0), strike.by_accident)

    serving = np.flatnonzero(table["outcome"] == IN_SERVICE)
    sound = (table["end_lo"] - pd.Timestamp(0)).dt.days.to_numpy(dtype=float)
    rows = table.iloc[serving]
    return [
        Place(
            boat=boat,
            position="single",
            kind=kind,
            part_no=part_no,
            fitted_on=float(start[at]),
            first=strike_of(truth, float(start[at]), float(sound[at]), TODAY, rng),
            renewed=renewed,
            age=years_between,
        )
        for at, boat, part_no in zip(serving, rows["boat"], rows["part_no"], strict=True)
    ]


def _prices() -> PriceList:
    return PriceList(
        {
            ("", f"{name} {size}"): Price(part * factor, alone, 21.0, shared)
            for name, (part, alone, shared) in PRICES.items()
            for size, factor in SIZES.items()
        },
        {},
    )


def _no_meters(table: pd.DataFrame) -> ShaftHours:
    """Lines of which nobody reads a meter; nothing here ages by hours."""
    lines = {(boat, "single"): n for n, boat in enumerate(sorted(set(table["boat"])))}
    n = len(lines)
    nothing = np.zeros(n)
    empty: tuple[Any, ...] = tuple(np.empty(0) for _ in range(n))
    return ShaftHours(
        lines=lines,
        afloat=np.ones(n, dtype=bool),
        past_rate=np.full(n, 300.0),
        rate=np.full(n, 300.0),
        basis=("fleet",) * n,
        rule=Settings().seasons,
        knots=(np.array([0.0, 200.0]),) * n,
        knot_hours=(np.array([0.0, 60_000.0]),) * n,
        read=empty,
        sure=empty,
        year_spread=nothing,
        past_spread=nothing,
        rate_spread=nothing,
    )


def believing(fleet: KnownFleet, factor: float) -> KnownFleet:
    """The same fleet, of which every hazard is believed to be so many times what it is said."""

    def faster(posterior: Posterior) -> Posterior:
        theta = posterior.parameters
        # H = (t / scale) ** shape; of another family this is near enough to be wrong by.
        log_scale = theta.log_scale - np.log(factor) * np.exp(-theta.log_shape)
        return replace(
            posterior,
            parameters=replace(theta, log_scale=log_scale, early=theta.early * min(factor, 1.0)),
            accidents=posterior.accidents * factor,
        )

    ageing = {
        key: replace(fitted, posterior=faster(fitted.posterior))
        for key, fitted in fleet.ageing.items()
    }
    return replace(fleet, ageing=ageing)


# ------------------------------------------------------------------ the invented fleet


def sample_fleet(seed: int, boats: int) -> KnownFleet:
    """An invented fleet as the command writes it, and what its parts will do in the next season.

    Lives, hours of the next season and groups are those that the fleet was drawn with; only parts
    that are still to be fitted are drawn anew by every call of `places`. Sound parts are renewed at
    the limits of `fleet.toml`, as the forecast is told, not by the habits of the boats so far.
    """
    invented, rows = with_the_next_season(seed, boats)
    files = {name: text.encode() for name, text in invented.files.items() if name != "truth.json"}
    fleet = job.open_fleet(files)
    ageing = job.how_it_ages(fleet, seed)
    own = job.own_lives_of(fleet, ageing, seed)
    in_service = fleet.lives.in_service()

    def places(chance: np.random.Generator) -> list[Place]:
        return [
            _sample_place(fleet.lives, rows[int(source.rsplit(":", 1)[1])], chance)
            for source in in_service["source"]
        ]

    failures = int((fleet.lives.table["outcome"] == "failed").sum())
    prices = price_list(fleet.records)
    return KnownFleet(fleet.lives, ageing, own, prices, fleet.coming_season(), places, failures)


def with_the_next_season(
    seed: int, boats: int
) -> tuple[invented_fleet.InventedFleet, dict[int, PartRow]]:
    """The fleet as written on the last day watched, and its rows with the lives behind them.

    Boats are drawn with the hours of one more season and cut back to the last day watched.
    """
    today, rows = TARNWICK.as_of.toordinal(), {}

    def cut(scenario: Scenario, berth: Berth) -> Boat:
        boat = draw_boat(LATER, berth)
        left = boat.left if boat.left is not None and boat.left <= today else None
        lifts = tuple(lift for lift in boat.lifts if lift.lifted <= today)
        return replace(boat, left=left, seen_to=min(boat.seen_to, today), lifts=lifts)

    def noted(*known: Any) -> str:
        for number, row in enumerate(known[3], start=2):
            rows[number] = row
        return "{}"

    with (
        mock.patch.object(invented_fleet, "draw_boat", cut),
        mock.patch.object(invented_fleet, "truth_text", noted),
    ):
        return invented_fleet.invent_fleet(TARNWICK, boats=boats, seed=seed), rows


def _sample_place(lives: Lives, row: PartRow, rng: np.random.Generator) -> Place:
    life, boat, line = row.life, row.boat, row.line

    def renewed(day: float) -> Strike:
        return _fresh(life.kind, boat, line, int(day) + ORDINAL_OF_1970, rng)

    def age(fitted_on: float, day: float) -> float:
        if life.kind.clock == "years":
            return years_between(fitted_on, day)
        at = [line.hours.at(int(one) + ORDINAL_OF_1970) for one in (fitted_on, day)]
        return at[1] - at[0]

    return Place(
        boat=boat.name,
        position=line.position,
        kind=lives.settings.kind(life.kind.name),
        part_no=row.text["part_no"],
        fitted_on=float(life.fitted_on - ORDINAL_OF_1970),
        first=Strike(float(life.fails_on - ORDINAL_OF_1970), life.cause == "accident"),
        renewed=renewed,
        age=age,
        seen_afloat=True,
    )


def _fresh(kind: TrueKind, boat: Boat, line: Line, day: int, rng: np.random.Generator) -> Strike:
    """When a part fitted new on a day of the coming season fails, in this place."""

    def after_use(years: float) -> float:
        return _or_never(line.service.day_reaching(line.service.at(day) + years))

    conditions = boat.base.conditions + line.conditions
    factors = [factor for name, factor in kind.life_factors.items() if name in conditions]
    wear_out = kind.scale * float(np.prod(factors)) * float(rng.weibull(kind.shape))
    early_years = LATER.early_days * rng.random() / DAYS_PER_YEAR
    if rng.random() >= LATER.early_share:
        early_years = np.inf
    by_years = kind.clock == "years"
    worn = (
        day + wear_out * DAYS_PER_YEAR
        if by_years
        else _or_never(line.hours.day_reaching(line.hours.at(day) + wear_out))
    )
    early = day + early_years * DAYS_PER_YEAR if by_years else after_use(early_years)
    accident = after_use(rng.exponential(1.0 / kind.accidents_per_year))
    by_age = max(min(worn, early), day + 1.0)
    return Strike(min(by_age, accident) - ORDINAL_OF_1970, accident <= by_age)


def _or_never(day: int | None) -> float:
    return np.inf if day is None else float(day)
