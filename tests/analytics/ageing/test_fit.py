"""One fit per kind and group: grades, counts, and the same numbers every time."""

import numpy as np
import pytest

from analytics.ageing.fit import ENOUGH, FEW, Ageing, fleet_ageing, kind_ageing, watched_years
from analytics.job import how_it_ages, open_fleet
from analytics.records.findings import FleetError
from tests.analytics.ageing.folders import fleet_of


def bellows(failed: int, sound: int = 20) -> list[str]:
    worn = [f"F{n:02d},single,bellows,,,2008-05-01,2017-06-{1 + n:02d},failed,afloat"
            for n in range(failed)]  # fmt: skip
    return worn + [f"S{n:02d},single,bellows,,,2012-05-01" for n in range(sound)]


def one(rows: list[str], settings: str = "") -> Ageing:
    return how_it_ages(fleet_of(rows, settings))["bellows", "all"]


@pytest.mark.parametrize(
    ("failed", "grade"),
    [
        (0, "too few failures to say"),
        (FEW - 1, "too few failures to say"),
        (FEW, "indicative"),
        (ENOUGH - 1, "indicative"),
        (ENOUGH, "usable"),
    ],
)
def test_the_grade_counts_failures(failed: int, grade: str) -> None:
    assert one(bellows(failed)).grade == grade


def test_early_failures_do_not_make_a_wear_out_curve_usable() -> None:
    # Sixty days after fitting: inside the 90 in which a bad fit shows itself.
    early = [f"E{n:02d},single,bellows,,,2012-05-01,2012-06-30,failed,afloat" for n in range(12)]
    fitted = one([*early, *bellows(2)])
    assert fitted.failures == 14
    assert fitted.worn_out == 2
    assert fitted.grade == "too few failures to say"
    without = one([*early, *bellows(2)], '[kinds.bellows]\ncauses = ["wear_out"]\n')
    assert without.worn_out == 14


def test_lives_are_counted_once() -> None:
    rows = [*bellows(3, 5), "A,single,bellows,,,2010-01-01,2014-01-01,accident",
            "R,single,bellows,,,2010-01-01,2018-01-01,replaced_sound"]  # fmt: skip
    fitted = one(rows)
    assert (fitted.lives, fitted.failures, fitted.accidents, fitted.censored) == (10, 3, 1, 6)


def test_years_watched_by_hand() -> None:
    # 2004-07-01 to 2010-01-01, watched from 2005-01-01: five years; 2020-01-01 to 2024-06-30.
    fleet = fleet_of(["A,single,bellows,,,2004-07-01,2010-01-01,accident",
                      "B,single,bellows,,,2020-01-01"])  # fmt: skip
    days = 1826 + 1642
    assert watched_years(fleet.lives.table) == pytest.approx(days / 365.25)


def test_a_lot_set_apart_is_fitted_on_its_own() -> None:
    rows = bellows(4) + [
        f"L{n:02d},single,bellows,,Q7,2012-05-01,2014-06-{1 + n:02d},failed,afloat"
        for n in range(8)
    ]
    fleet = fleet_of(rows, '[kinds.bellows]\napart = ["Q7"]\n')
    fitted = how_it_ages(fleet)
    assert set(fitted) == {("bellows", "all"), ("bellows", "lot Q7")}
    assert fitted["bellows", "lot Q7"].lives == 8
    median = {
        group: np.median(f.posterior.parameters.log_scale) for (_, group), f in fitted.items()
    }
    assert median["lot Q7"] < median["all"] - 0.5


def test_a_kind_with_failures_and_no_survivors_is_not_fitted() -> None:
    rows = bellows(4) + [
        f"H{n},single,gland_hose,,,2010-05-01,2018-06-0{1 + n},failed,afloat" for n in range(6)
    ]
    fitted = how_it_ages(fleet_of(rows))["gland_hose", "all"]
    assert fitted.grade == "only failures, not fitted"
    assert fitted.rests_on_prior
    assert fitted.posterior is fitted.prior
    assert fitted.likelihood is None


def files_of(rows: list[str]) -> dict[str, bytes]:
    head = "boat,kind,fitted_on,removed_on,reason"
    boats = ["boat,built_on", *dict.fromkeys(f"{row.split(',')[0]},1999-05-05" for row in rows)]
    return {
        "fleet.toml": b"as_of = 2024-06-30\nrecords_from = 2005-01-01\n",
        "boats.csv": "\n".join(boats).encode(),
        "parts.csv": "\n".join([head, *rows]).encode(),
    }


def test_the_same_numbers_bit_for_bit_whatever_the_order_of_the_rows() -> None:
    rows = [
        f"B{n:02d},{kind},{start},{end}"
        for n in range(25)
        for kind in ("bellows", "face_seal")
        for start, end in (
            ("", f"{2010 + n % 6}-0{1 + n % 9}-14,{'failed' if n % 4 == 0 else 'replaced_sound'}"),
            (f"{2010 + n % 6}-0{1 + n % 9}-14", ","),
        )
    ]
    shuffled = [rows[i] for i in np.random.default_rng(3).permutation(len(rows))]
    first, again, other = (
        how_it_ages(open_fleet(files_of(order)), seed=4) for order in (rows, rows, shuffled)
    )
    for key, ageing in first.items():
        for same in (again[key], other[key]):
            for name in ("log_shape", "log_scale", "early"):
                ours = getattr(ageing.posterior.parameters, name)
                assert ours.tobytes() == getattr(same.posterior.parameters, name).tobytes()
            assert ageing.posterior.accidents.tobytes() == same.posterior.accidents.tobytes()
            ours, others = ageing.posterior.factors, same.posterior.factors
            assert ours is not None
            assert others is not None
            assert ours.of(ageing.table).tobytes() == others.of(same.table).tobytes()


def test_another_kind_changes_no_number_and_another_seed_does() -> None:
    alone, beside = (
        fleet_of(bellows(5)),
        fleet_of([*bellows(5), "Z,single,gland_hose,,,2012-05-01"]),
    )
    ours = how_it_ages(alone, seed=1)["bellows", "all"].posterior.parameters
    same = how_it_ages(beside, seed=1)["bellows", "all"].posterior.parameters
    other = how_it_ages(alone, seed=2)["bellows", "all"].posterior.parameters
    assert ours.log_scale.tobytes() == same.log_scale.tobytes()
    assert ours.log_scale.tobytes() != other.log_scale.tobytes()
    assert np.median(ours.log_scale) == pytest.approx(np.median(other.log_scale), abs=0.05)


def test_an_export_of_failures_alone_is_refused() -> None:
    with pytest.raises(FleetError) as refused:
        fleet_ageing(fleet_of(bellows(6, 0)).lives)
    assert "survive" in str(refused.value.findings) or "did not fail" in str(refused.value.findings)


def test_lives_are_taken_as_alike_where_there_are_few_or_it_is_asked() -> None:
    few, many = fleet_of(bellows(8, 20)), fleet_of(bellows(8, 40) + [
        f"F{n:02d},single,bellows,,,2017-07-01" for n in range(8)])  # fmt: skip
    assert how_it_ages(few)["bellows", "all"].posterior.factors is None
    assert how_it_ages(many)["bellows", "all"].posterior.factors is not None
    asked = kind_ageing(many.lives, many.lives.table, factors=False)
    assert asked.posterior.factors is None
    assert not asked.groups


def test_progress_is_told_kind_by_kind() -> None:
    told: list[tuple[str, int, int]] = []
    fleet = fleet_of([*bellows(1), "Z,single,gland_hose,,,2012-05-01"])
    fleet_ageing(fleet.lives, progress=lambda what, done, total: told.append((what, done, total)))
    assert told == [("fitting bellows", 0, 2), ("fitting gland hose", 1, 2)]


def test_entry_ignored_is_a_longer_watch_and_a_longer_life() -> None:
    rows = [f"L{n:02d},single,bellows,,,{1996 + n % 6}-05-01,{2006 + n % 4}-06-01,failed,afloat"
            for n in range(12)]  # fmt: skip
    fleet = fleet_of([*rows, *bellows(4)])
    right, wrong = (
        kind_ageing(fleet.lives, fleet.lives.table, ignore_entry=ignore).posterior.parameters
        for ignore in (False, True)
    )
    assert np.median(wrong.log_scale) > np.median(right.log_scale)
