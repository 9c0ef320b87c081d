"""Shares of fleets whose intervals hold the truth, as Markdown tables with standard errors."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import pandas as pd
from scipy.stats import chi2, kstest

from tests.benchmarks.coverage_answers import PARTS, Answer

BANDS = {"0": (0, 0), "1-2": (1, 2), "3-9": (3, 9), "10-50": (10, 50)}
"""Failures in a fleet."""

RISKS = tuple(f"risk {name}" for name in (*PARTS, "undated"))
KNOWN_RISKS, ML_RISKS = RISKS[: len(PARTS)], tuple(f"ml_risk {name}" for name in PARTS)

N_BINS = 20
"""Of ranks: 600 fleets put 30 into each."""


def tables(found: Sequence[Answer]) -> str:
    """All tables of a run."""
    rows = pd.DataFrame(list(found))
    parts = []
    prior = rows[rows["cell"].str.startswith("prior")]
    if len(prior):
        parts += ["### Truth drawn from the prior\n", _of_prior(prior)]
        parts += ["\n### Are the ranks of the truth uniform?\n", _of_ranks(prior)]
    fixed = rows[rows["cell"].str.startswith("fixed")]
    if len(fixed):
        parts += ["\n### Truth fixed, by failures\n", _of_fixed(fixed)]
        enough = fixed[fixed["failures"] >= 3]
        if len(enough):
            parts += ["\n### Truth fixed, three failures or more, by lives\n", _by_lives(enough)]
        parts += ["\n" + _at_none(fixed)]
    return "\n".join(parts)


def held(rows: pd.DataFrame, names: Iterable[str]) -> tuple[float, float, int]:
    """Share of intervals that hold the truth, its standard error, and the fleets behind it.

    Parts of one fleet share its posterior: the error is that of means of fleets.
    """
    columns = [f"{name} held" for name in names if f"{name} held" in rows]
    each = rows[columns].mean(axis=1).dropna() if columns else pd.Series(dtype=float)
    if each.empty:
        return np.nan, np.nan, 0
    n, mean = len(each), float(each.mean())
    # None of few missed is no proof of certainty: half a fleet is added on either side.
    least = np.sqrt((0.5 / (n + 1)) * (1 - 0.5 / (n + 1)) / n) if mean in (0.0, 1.0) else 0.0
    return mean, max(float(each.std(ddof=0)) / np.sqrt(n), float(least)), n


def falls_short(rows: pd.DataFrame, names: Iterable[str], target: float) -> bool:
    """True where intervals hold the truth too seldom for chance: three standard errors."""
    mean, error, n = held(rows, names)
    return n > 0 and mean + 3 * error < target


def uniform(ranks: Iterable[float]) -> float:
    """Chance of ranks in (0, 1) being as uneven as these, if they are uniform: chi-squared."""
    counts = np.histogram(np.asarray(list(ranks)), bins=N_BINS, range=(0.0, 1.0))[0]
    expected = counts.sum() / N_BINS
    return float(chi2.sf(((counts - expected) ** 2 / expected).sum(), N_BINS - 1))


def _of_prior(rows: pd.DataFrame) -> str:
    header = ["Lives", "Fleets", "Failures (median)", "Season risk", "10 % life", "Shape", "Scale",
              "Next season's failures"]  # fmt: skip
    names = (RISKS, ("life",), ("shape",), ("scale",), ("count",))
    groups = [(cell.split()[1], some) for cell, some in rows.groupby("cell", sort=False)]
    body = [
        [lives, str(len(some)), f"{some['failures'].median():.0f}"]
        + [_percent(held(some, name)) for name in names]
        for lives, some in (*groups, ("all", rows))
    ]
    of_bands = [
        [f"all, {name} failures", str(len(some)), f"{some['failures'].median():.0f}"]
        + [_percent(held(some, one)) for one in names]
        for name, some in _bands(rows)
    ]
    return _markdown(header, body + of_bands)


def _of_ranks(rows: pd.DataFrame) -> str:
    names = ("shape", "scale", "life", *RISKS)
    body = []
    for name in names:
        if f"{name} rank" not in rows:
            continue
        ranks = rows[f"{name} rank"].dropna()
        uneven = uniform(ranks), float(kstest(ranks, "uniform").pvalue)
        ends = float((ranks < 0.05).mean()), float((ranks > 0.95).mean())
        cells = [*(f"{p:.3f}" for p in uneven), *(f"{100 * share:.1f}" for share in ends)]
        body.append([name, str(len(ranks)), *cells])
    header = ["Figure", "Fleets", "p (chi-squared, 20 bins)", "p (Kolmogorov-Smirnov)",
              "below 5 % (%)", "above 95 % (%)"]  # fmt: skip
    return _markdown(header, body)


def _of_fixed(rows: pd.DataFrame) -> str:
    header = ["Shape", "Failures", "Fleets", "Season risk", "10 % life", "Next season's failures",
              "ML exists", "ML risk", "ML 10 % life", "Width of risk: ours, ML (points)",
              "Width of life: ours, ML (factor)"]  # fmt: skip
    body = []
    for shape, of_shape in rows.groupby("true_shape"):
        for name, some in _bands(of_shape):
            body.append([f"{shape:g}", name, str(len(some)), *_compared(some)])
    for name, some in _bands(rows):
        body.append(["all", name, str(len(some)), *_compared(some)])
    return _markdown(header, body)


def _by_lives(rows: pd.DataFrame) -> str:
    header = ["Lives", "Shape", "Fleets", "Season risk", "10 % life", "Next season's failures",
              "ML exists", "ML risk", "ML 10 % life", "Width of risk: ours, ML (points)",
              "Width of life: ours, ML (factor)"]  # fmt: skip
    groups = rows.groupby(["cell", "true_shape"], sort=False)
    body = [
        [str(cell).split()[1], f"{shape:g}", str(len(some)), *_compared(some)]
        for (cell, shape), some in groups
    ]
    return _markdown(header, body)


def _compared(rows: pd.DataFrame) -> list[str]:
    """Coverage of the posterior and of maximum likelihood; widths where both exist."""
    exists = rows["ml_exists"].mean()
    both = rows[rows["ml_exists"] == 1.0]
    ours, theirs = (
        both[[f"{name} width" for name in names if f"{name} width" in both]].stack().median()
        for names in (KNOWN_RISKS, ML_RISKS)
    )
    life, ml_life = (
        np.exp(both[name].median()) if name in both else np.nan
        for name in ("life width", "ml_life width")
    )
    return [
        *(_percent(held(rows, names)) for names in (RISKS, ("life",), ("count",))),
        f"{100 * exists:.0f} %",
        *(_percent(held(rows, names)) for names in (ML_RISKS, ("ml_life",))),
        f"{100 * ours:.1f}, {100 * theirs:.1f}" if len(both) else "-",
        f"{life:.2f}, {ml_life:.2f}" if len(both) else "-",
    ]


def _at_none(rows: pd.DataFrame) -> str:
    none = rows[rows["failures"] == 0]
    if none.empty:
        return "No fleet was without a failure."
    share = float((none["life width"] / none["prior life width"]).median())
    return (
        f"At no failures ({len(none)} fleets) the interval rests on the prior: records without a "
        "failure can only rule out short lives, and how far beyond them a life lies is belief "
        f"alone. The 10 % life's interval is {share:.1f} times as wide as the prior's, in its "
        "logarithm; a maximum-likelihood fit does not exist at all."
    )


def _bands(rows: pd.DataFrame) -> list[tuple[str, pd.DataFrame]]:
    found = []
    for name, (low, high) in BANDS.items():
        some = rows[rows["failures"].between(low, high)]
        if len(some):
            found.append((name, some))
    return found


def _percent(share: tuple[float, float, int]) -> str:
    mean, error, n = share
    return "-" if n == 0 else f"{100 * mean:.1f} ± {100 * error:.1f}"


def _markdown(header: list[str], body: list[list[str]]) -> str:
    lines = [header, ["---"] * len(header), *body]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in lines)
