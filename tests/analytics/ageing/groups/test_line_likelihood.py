"""The fast likelihood of lines against the plain one, life by life."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr

from analytics.ageing.clocks import CENSORED, EXACT, INTERVAL, Nodes
from analytics.ageing.families import FAMILIES
from analytics.ageing.groups import line_likelihood
from analytics.ageing.groups.line_likelihood import blocks_of, parts_of
from analytics.ageing.groups.node_hazards import Draws
from analytics.ageing.likelihood import Parameters, per_life

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

EARLY_YEARS = 0.25


def some_lives(n: int, rng: np.random.Generator, window_from: float = 0.0) -> Nodes:
    """Known and windowed fittings, every kind of end, young and old, met late or from the first.

    No window of failing begins before `window_from`.
    """
    outcome = rng.choice([EXACT, INTERVAL, CENSORED], n)
    size = rng.choice([1, 1, 1, 2, 6], n)
    life = np.repeat(np.arange(n), size)
    first = np.cumsum(size) - size
    # An earlier fitting makes every age of the life larger by as much.
    older = rng.permutation(len(life)) / len(life) * (size > 1)[life]
    lower = rng.choice([0.05, 0.2, 3.0, 11.0], n)[life] * rng.uniform(0.9, 1.1, n)[life] + older
    lower = np.where(outcome[life] == INTERVAL, np.maximum(lower, window_from + older), lower)
    entry = np.where((rng.random(n) < 0.5)[life], lower * rng.uniform(0, 1, n)[life] + older / 2, 0)
    entry = np.minimum(entry, lower)
    upper = lower + rng.choice([0.1, 2.0], n)[life] * (outcome == INTERVAL)[life]
    weights = [rng.dirichlet(np.full(k, 5.0)) for k in size]
    # A clock of its own: years are not the clock's units.
    years = {f"{name}_years": age * 0.7
             for name, age in (("entry", entry), ("lower", lower), ("upper", upper))}  # fmt: skip
    return Nodes(
        life=life,
        first=first.astype(np.int64),
        weight=np.concatenate(weights),
        start=np.zeros(len(life)),
        entry=entry,
        lower=lower,
        upper=upper,
        outcome=outcome,
        count=rng.integers(1, 4, n).astype(float),
        entry_weight=np.concatenate([rng.permutation(of) for of in weights]),
        **years,
    )


def fast(family: str, nodes: Nodes, lines: Ints, rows: Floats, shift: Floats, u: Floats) -> Floats:
    """By the blocks, shape (n_effects, n_lines, n)."""
    early = rows.shape[1] > 2
    draws = Parameters.from_rows(rows)
    found = np.full(u.shape, np.nan)
    for block in blocks_of(FAMILIES[family], nodes, EARLY_YEARS, lines, early=early):
        for part in parts_of(len(rows), block):
            of = Draws(
                draws.log_shape[part], draws.log_scale[part], draws.early[part] if early else None
            )
            with np.errstate(all="ignore"):
                found[:, block.lines, part] = block.log_likelihood(
                    of, shift[block.lives][:, part], u[:, block.lines, part]
                )
    return found


def plain(family: str, nodes: Nodes, lines: Ints, rows: Floats, shift: Floats, u: Floats) -> Floats:
    """Life by life, then added up one by one."""
    found = np.zeros(u.shape)
    for number, effects in enumerate(u):
        with np.errstate(all="ignore"):
            of_lives = per_life(
                FAMILIES[family], Parameters.from_rows(rows), nodes, EARLY_YEARS,
                (shift + effects[lines]).T,
            )  # fmt: skip
        for life, line in enumerate(lines):
            found[number, line] += of_lives[:, life] * nodes.count[life]
    return found


@pytest.mark.parametrize("early", [True, False])
@pytest.mark.parametrize("family", FAMILIES)
@given(seed=st.integers(0, 10_000))
def test_it_is_the_sum_of_the_lives(family: str, early: bool, seed: int) -> None:
    rng = np.random.default_rng(seed)
    n, draws = 30, 20
    # The plain way takes the chance of a window from two logarithms of a survival. Of young
    # lognormal lives those are 0 to within 1e-16, and their difference is not known well.
    window_from = 0.0 if family == "weibull" else 9.0
    nodes, lines = some_lives(n, rng, window_from), rng.permutation(np.arange(n) % 8)
    rows = rng.normal([0.9, 1.9, -3.0], [0.3, 0.2, 0.5], (draws, 3))[:, : 2 + early]
    shift, u = rng.normal(0, 0.2, (n, draws)), rng.normal(0, 0.3, (5, 8, draws))
    ours, theirs = (of(family, nodes, lines, rows, shift, u) for of in (fast, plain))
    np.testing.assert_allclose(ours, theirs, rtol=1e-9, atol=1e-8)


@pytest.mark.parametrize("family", FAMILIES)
def test_lives_far_too_old_are_unlikely_and_not_impossible(family: str) -> None:
    # At forty times the scale nothing is left of any survival as a number.
    rng = np.random.default_rng(1)
    nodes = some_lives(40, rng)
    lines, u = np.arange(40) % 8, np.zeros((1, 8, 2))
    rows = np.array([[2.6, np.log(0.3)], [0.9, 2.0]])
    shift = np.zeros((40, 2))
    ours, theirs = (of(family, nodes, lines, rows, shift, u) for of in (fast, plain))
    assert np.isfinite(theirs).all()
    assert theirs.min() < -1000
    np.testing.assert_allclose(ours, theirs, rtol=1e-9, atol=1e-8)


def test_a_few_days_long_before_wear_out() -> None:
    # A lognormal life with a shape of 4: below its middle the chance of a window is a difference
    # of two small numbers, which the normal distribution function knows to the last digits.
    one = some_lives(1, np.random.default_rng(4))
    ends = {name: np.array([age]) for name, age in (("lower", 3.0), ("upper", 3.01))}
    nodes = replace(
        one, life=np.zeros(1, dtype=np.int64), first=np.zeros(1, dtype=np.int64),
        weight=np.ones(1), start=np.zeros(1), entry=np.zeros(1), entry_years=np.zeros(1),
        outcome=np.array([INTERVAL]), count=np.ones(1), entry_weight=None,
        lower_years=ends["lower"], upper_years=ends["upper"], **ends,
    )  # fmt: skip
    rows, none = np.log([[4.0, 14.0]]), np.zeros((1, 1))
    found = fast("lognormal", nodes, np.zeros(1, dtype=np.int64), rows, none, none[None])
    low, high = (4.0 * np.log(ends[name][0] / 14.0) for name in ("lower", "upper"))
    assert found[0, 0, 0] == pytest.approx(np.log(ndtr(high) - ndtr(low)), rel=1e-10)


def test_lines_are_the_same_a_few_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(2)
    nodes, lines = some_lives(60, rng), rng.permutation(np.arange(60) % 12)
    rows = rng.normal([0.9, 1.9, -3.0], 0.2, (50, 3))
    shift, u = rng.normal(0, 0.2, (60, 50)), rng.normal(0, 0.3, (3, 12, 50))
    at_once = fast("weibull", nodes, lines, rows, shift, u)
    monkeypatch.setattr(line_likelihood, "_NODES_AT_ONCE", 20)
    monkeypatch.setattr(line_likelihood, "CELLS_AT_ONCE", 400)
    assert len(blocks_of(FAMILIES["weibull"], nodes, EARLY_YEARS, lines, early=True)) > 4
    np.testing.assert_allclose(
        fast("weibull", nodes, lines, rows, shift, u), at_once, rtol=1e-12, atol=1e-12
    )


def test_a_line_with_all_kinds_of_lives_by_hand() -> None:
    # Shape 2, scale 10, effect 0 or log 2: H(t) = (t / 10)^2, or (t / 20)^2.
    nodes = replace(
        some_lives(3, np.random.default_rng(3)),
        life=np.arange(3), first=np.arange(3), weight=np.ones(3), start=np.zeros(3),
        entry=np.array([0.0, 5.0, 0.0]), lower=np.array([8.0, 7.0, 9.0]),
        upper=np.array([8.0, 7.0, 9.5]), outcome=np.array([EXACT, CENSORED, INTERVAL]),
        count=np.ones(3), entry_weight=np.ones(3), entry_years=np.array([0.0, 5.0, 0.0]),
        lower_years=np.array([8.0, 7.0, 9.0]), upper_years=np.array([8.0, 7.0, 9.5]),
    )  # fmt: skip
    u = np.log(np.array([1.0, 2.0]))[:, None, None]
    rows, none = np.log([[2.0, 10.0]]), np.zeros((3, 1))
    found = fast("weibull", nodes, np.zeros(3, dtype=np.int64), rows, none, u)[:, 0, 0]
    for ours, scale in zip(found, (10.0, 20.0), strict=True):
        density = np.log(2 * 8.0 / scale**2) - (8.0 / scale) ** 2
        sound = (5.0 / scale) ** 2 - (7.0 / scale) ** 2
        within = np.log(np.exp(-((9.0 / scale) ** 2)) - np.exp(-((9.5 / scale) ** 2)))
        assert ours == pytest.approx(density + sound + within, rel=1e-12)
