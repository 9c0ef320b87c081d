"""Chance of a place of its own: the hash against a printed sequence, and what must not show."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy.stats import kstest

from analytics.outlook.place_chance import (
    EARLY,
    READING,
    WEAR,
    PlaceChance,
    below,
    exponential,
    mixed,
    uniform,
)

N = 40_000


def places(n: int) -> pd.DataFrame:
    return pd.DataFrame(
        {"boat": [f"B{i}" for i in range(n)], "position": "port", "kind": "bellows"}
    )


def drawn(chance: PlaceChance, part: int, life: int, cause: int, day: int = 0) -> np.ndarray:
    futures = np.arange(N)
    return chance.some(np.full(N, part), futures, life, cause, day)


def test_the_hash_is_that_of_splitmix64() -> None:
    # The sequence of seed 1234567, as printed for many programming languages (from memory).
    step = np.uint64(0x9E3779B97F4A7C15)
    states = np.uint64(1234567) + np.arange(1, 6, dtype=np.uint64) * step
    assert mixed(states).tolist() == [
        6457827717110365317,
        3203168211198807973,
        9817491932198370423,
        4593380528125082431,
        16408922859458223821,
    ]


def test_numbers_are_even_and_know_nothing_of_each_other() -> None:
    chance = PlaceChance(0, places(2), N)
    streams = [
        drawn(chance, 0, 0, WEAR),
        drawn(chance, 0, 1, WEAR),
        drawn(chance, 0, 0, EARLY),
        drawn(chance, 1, 0, WEAR),
        drawn(chance, 0, 0, READING, 20_000),
        drawn(chance, 0, 0, READING, 20_365),
        drawn(PlaceChance(1, places(2), N), 0, 0, WEAR),
    ]
    for stream in streams:
        assert kstest(stream, "uniform").pvalue > 1e-4
        # One future after the other.
        assert abs(np.corrcoef(stream[1:], stream[:-1])[0, 1]) < 4 / np.sqrt(N)
    between = np.corrcoef(streams) - np.eye(len(streams))
    assert np.abs(between).max() < 4.5 / np.sqrt(N)
    assert kstest(exponential(streams[0]), "expon").pvalue > 1e-4


def test_all_at_once_or_some_of_them() -> None:
    chance = PlaceChance(3, places(5), 100)
    every = uniform(chance.every(slice(1, 4), 2, WEAR))
    part, future = np.array([1, 3, 2]), np.array([99, 0, 50])
    some = chance.some(part, future, 2, WEAR)
    np.testing.assert_array_equal(every[part - 1, future], some)
    by_life = chance.some(part, future, np.array([2, 2, 2]), WEAR)
    np.testing.assert_array_equal(by_life, some)


def test_a_share_holds_all_that_lies_under_it() -> None:
    chance = PlaceChance(0, places(1), N)
    bits = chance.every(slice(0, 1), 0, WEAR)[0]
    numbers = uniform(bits.copy())
    for share in (0.0, 1e-12, 0.03, 0.5, 1.0):
        under = bits < below(np.array(share))
        assert under[numbers < share].all()
        assert under.mean() == pytest.approx(share, abs=4 * np.sqrt(0.25 / N))


def test_two_parts_in_one_place_have_chance_apart() -> None:
    twice = pd.concat([places(1), places(1)])
    chance = PlaceChance(0, twice, N)
    assert not np.array_equal(drawn(chance, 0, 0, WEAR), drawn(chance, 1, 0, WEAR))


def test_names_that_hold_a_stroke_have_chance_apart() -> None:
    # Joined by strokes both would read B|port|x|bellows.
    told = pd.DataFrame(
        {"boat": ["B|port", "B"], "position": ["x", "port|x"], "kind": ["bellows", "bellows"]}
    )
    chance = PlaceChance(0, told, N)
    assert not np.array_equal(drawn(chance, 0, 0, WEAR), drawn(chance, 1, 0, WEAR))
    # Each has what it has on its own.
    alone = PlaceChance(0, told.iloc[1:], N)
    np.testing.assert_array_equal(drawn(chance, 1, 0, WEAR), drawn(alone, 0, 0, WEAR))


def test_two_parts_in_one_place_keep_their_chance_whatever_the_order_of_rows() -> None:
    twice = pd.concat([places(1), places(1)]).assign(start_lo=["2015-01-01", "2019-01-01"])
    chance, turned = PlaceChance(0, twice, N), PlaceChance(0, twice.iloc[::-1], N)
    for part in (0, 1):
        one, other = drawn(chance, part, 0, WEAR), drawn(turned, 1 - part, 0, WEAR)
        np.testing.assert_array_equal(one, other)
