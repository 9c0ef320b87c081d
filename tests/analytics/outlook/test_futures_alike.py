"""What must leave the futures of a place as they are: other places, more futures, other limits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from analytics.ageing.fit import FleetAgeing
from analytics.ageing.likelihood import lives_of
from analytics.job import Fleet, how_it_ages
from analytics.outlook import places_ahead, renewals
from analytics.outlook.futures import ACCIDENT, FAILED, PLANNED, Futures, simulated_futures
from analytics.outlook.policy import PartLimits, limits_as_set, no_limits
from tests.analytics.ageing.folders import fleet_of

SETTINGS = '[kinds.bellows]\nfamily = "weibull"\n'


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    """Both clocks, both lay-ups, dated and undated, one kind that shows only ashore."""
    rows = [
        f"B{n:02d},{side},{kind},,,{2012 + (5 * n + len(side)) % 11}-0{1 + n % 6}-10"
        for n in range(12)
        for side in ("port", "starboard")
        for kind in ("bellows", "cutless_bearing", "face_seal")
    ]
    rows += [
        f"U{n},single,{kind},,,{2006 + n}..2015"
        for n in range(4)
        for kind in ("bellows", "face_seal")
    ]
    rows += [f"O{n},single,bellows,,,2009-05-01,2016-07-0{n + 1},failed,afloat" for n in range(5)]
    boats = [f"B{n:02d},{'ashore' if n % 3 else 'afloat'}" for n in range(12)]
    boats += [f"{letter}{n},ashore" for letter, many in (("U", 4), ("O", 5)) for n in range(many)]
    return fleet_of(rows, SETTINGS, boats=boats)


@pytest.fixture(scope="module")
def ageing(fleet: Fleet) -> FleetAgeing:
    """With a hundred draws each, so that the same draws come up again in later futures."""
    few = np.arange(100)
    found = how_it_ages(fleet).items()
    return {key: replace(one, posterior=one.posterior.of_draws(few)) for key, one in found}


def simulated(fleet: Fleet, ageing: FleetAgeing, n: int = 250, **asked: object) -> Futures:
    rule = fleet.records.settings.seasons
    coming = [rule.season(2024 + i) for i in range(12)]
    return simulated_futures(fleet.lives, ageing, coming, n_futures=n, **asked)  # type: ignore[arg-type]


def events(found: Futures, first: int | None = None) -> pd.DataFrame:
    """Every renewal by its place and not by its number, in one order."""
    table = found.parts.iloc[found.part][["boat", "position", "kind"]].reset_index(drop=True)
    table = table.assign(future=found.future, day=found.day, how=found.how)
    table = table[table["future"] < (first or found.n_futures)]
    return table.sort_values(list(table.columns), ignore_index=True)


def without(ageing: FleetAgeing, boat: str) -> FleetAgeing:
    """The same curves, of the parts of all other boats."""
    less = {}
    for key, one in ageing.items():
        stays = (one.table["boat"] != boat).to_numpy()
        less[key] = replace(one, table=one.table[stays], nodes=lives_of(one.nodes, stays))
    return less


def test_the_same_seed_gives_the_same_renewals(fleet: Fleet, ageing: FleetAgeing) -> None:
    one, same, other = (simulated(fleet, ageing, seed=seed) for seed in (3, 3, 4))
    for name in ("future", "part", "day", "how"):
        assert getattr(one, name).tobytes() == getattr(same, name).tobytes()
    assert not events(one).equals(events(other))


@pytest.mark.parametrize("boat", ["B00", "B07", "U2"])
def test_a_boat_that_is_not_there_moves_no_other(
    fleet: Fleet, ageing: FleetAgeing, boat: str
) -> None:
    every, less = events(simulated(fleet, ageing)), events(simulated(fleet, without(ageing, boat)))
    others = every[every["boat"] != boat].reset_index(drop=True)
    assert 0 < len(others) < len(every)
    pd.testing.assert_frame_equal(others, less)


def test_more_futures_leave_the_first_as_they_were(fleet: Fleet, ageing: FleetAgeing) -> None:
    few, many = simulated(fleet, ageing, 60), simulated(fleet, ageing, 330)
    pd.testing.assert_frame_equal(events(few), events(many, 60))


def test_the_order_of_rows_changes_nothing(fleet: Fleet, ageing: FleetAgeing) -> None:
    turned = {}
    for key, one in ageing.items():
        order = np.arange(len(one.table))[::-1]
        sizes = np.diff(np.append(one.nodes.first, len(one.nodes.life)))
        rows = np.concatenate([one.nodes.first[i] + np.arange(sizes[i]) for i in order])
        names = ("weight", "start", "entry", "lower", "upper")
        per_node = {name: getattr(one.nodes, name)[rows] for name in names}
        years = ("entry_years", "lower_years", "upper_years")
        per_node |= {name: getattr(one.nodes, name)[rows] for name in years}
        nodes = replace(
            one.nodes,
            life=np.repeat(np.arange(len(order)), sizes[order]),
            first=np.cumsum(sizes[order]) - sizes[order],
            outcome=one.nodes.outcome[order],
            count=one.nodes.count[order],
            entry_weight=None if one.nodes.entry_weight is None else one.nodes.entry_weight[rows],
            **per_node,
        )
        turned[key] = replace(one, table=one.table.iloc[order], nodes=nodes)
    straight, back = simulated(fleet, ageing), simulated(fleet, turned)
    pd.testing.assert_frame_equal(events(straight), events(back))


def test_how_much_is_dealt_with_at_once_changes_nothing(
    fleet: Fleet, ageing: FleetAgeing, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = events(simulated(fleet, ageing))
    monkeypatch.setattr(renewals, "_CELLS_AT_ONCE", 1)
    monkeypatch.setattr(places_ahead, "_NODES_AT_ONCE", 3)
    pd.testing.assert_frame_equal(events(simulated(fleet, ageing)), whole)


def earliest(found: Futures, kind: str, how: int) -> pd.DataFrame:
    table = events(found)
    table = table[table["kind"] == kind]
    first = table.groupby(["boat", "position", "future"], as_index=False).first()
    return first[first["how"] == how]


def test_under_other_limits_a_place_has_the_same_chance(fleet: Fleet, ageing: FleetAgeing) -> None:
    n = int((ageing["bellows", "all"].table["outcome"] == "in_service").sum())
    set_, free = (
        simulated(fleet, ageing, 500, policy={("bellows", "all"): limits})
        for limits in (limits_as_set(ageing["bellows", "all"].kind, n), no_limits(n))
    )
    apart = ["cutless_bearing", "face_seal"]
    one, other = events(set_), events(free)
    pd.testing.assert_frame_equal(
        one[one["kind"].isin(apart)].reset_index(drop=True),
        other[other["kind"].isin(apart)].reset_index(drop=True),
    )
    assert (set_.how == PLANNED).sum() > 1000
    # What fails before any limit fails on the same day without limits.
    failed = earliest(set_, "bellows", FAILED)
    assert len(failed) > 500
    assert len(failed.merge(earliest(free, "bellows", FAILED))) == len(failed)
    # Accidents befall a place: they come on the same days whatever is fitted then, but for one
    # that strikes within a day of another renewal.
    struck, again = (
        table[(table["how"] == ACCIDENT) & (table["kind"] == "bellows")] for table in (one, other)
    )
    assert len(struck) > 100
    assert len(struck.merge(again)) > 0.98 * max(len(struck), len(again))


def test_a_life_lasts_as_long_wherever_it_begins(fleet: Fleet, ageing: FleetAgeing) -> None:
    # With the accidents and early failures left out, the second part of a place lasts the same
    # number of days in a future whether the first was renewed at a limit of three years or of four.
    fitted = ageing["bellows", "all"]
    posterior = replace(
        fitted.posterior,
        accidents=np.zeros(len(fitted.posterior)),
        parameters=replace(fitted.posterior.parameters, early=np.zeros(len(fitted.posterior))),
    )
    alone = {("bellows", "all"): replace(fitted, posterior=posterior)}
    n = int((fitted.table["outcome"] == "in_service").sum())
    never = np.full(n, np.inf)
    lasted = []
    for years in (15.0, 16.0):
        limits = PartLimits(np.full(n, years), never, never)
        table = events(simulated(fleet, alone, policy={("bellows", "all"): limits}))
        table = table.assign(life=table.groupby(["boat", "position", "future"]).cumcount())
        first, second = (table[table["life"] == life] for life in (0, 1))
        both = first.merge(second, on=["boat", "position", "future"], suffixes=("", "_2"))
        both = both[(both["how"] == PLANNED) & (both["how_2"] == FAILED)]
        lasted.append(both.assign(days=both["day_2"] - both["day"]))
    found = lasted[0].merge(lasted[1], on=["boat", "position", "future"])
    moved = found[found["day_x"] != found["day_y"]]
    assert len(moved) > 20
    assert (moved["days_x"] == moved["days_y"]).all()


def test_twice_the_futures_halve_the_variance(fleet: Fleet, ageing: FleetAgeing) -> None:
    # One draw of the parameters, so that futures differ by luck alone; 30 seeds at 40 and at 80.
    fitted = ageing["bellows", "all"]
    one = {
        ("bellows", "all"): replace(
            fitted, posterior=fitted.posterior.of_draws(np.zeros(1, dtype=np.int64))
        )
    }

    def means(n: int, seed: int) -> np.ndarray:
        found = simulated(fleet, one, n, seed=seed)
        return np.bincount(found.part, minlength=len(found.parts)) / n

    few, many = (np.array([means(n, seed) for seed in range(30)]) for n in (40, 80))
    # Places are independent, so that their variances add up; 28 of them with 29 degrees of freedom
    # each place the ratio to 7 % (normal theory).
    assert few.shape[1] >= 28
    ratio = few.var(axis=0, ddof=1).sum() / many.var(axis=0, ddof=1).sum()
    assert ratio == pytest.approx(2.0, rel=0.25)


def test_work_is_told_and_can_be_stopped(
    fleet: Fleet, ageing: FleetAgeing, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(places_ahead, "_NODES_AT_ONCE", 5)
    told: list[tuple[int, int]] = []

    def stop(what: str, done: int, total: int) -> None:
        told.append((done, total))
        if done == 4:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        simulated(fleet, ageing, progress=stop)
    assert [done for done, _ in told] == [0, 1, 2, 3, 4]
    assert told[0][1] > 8
