"""How often intervals of the coming season held what happened, as Markdown tables."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from scipy import stats

from tests.benchmarks.money_coverage_answers import ENDS, QUANTITIES, Answer

SETTINGS = {
    "prior": "Truth drawn from what is believed: the intervals must hold as often as they say",
    "sample": "Truth of the invented fleet, with its bad lot, warm base, silt, meters and defects",
}

HEADER = [
    "of the coming season",
    "forecast, mean",
    "happened, mean",
    "held",
    "forecast's own chance of that",
    "held, ties by chance",
    "below, above (10 % each)",
    "held, other seasons of the same truth",
    "even: KS p",
    "even: tenths p",
]


def tables(answers: Sequence[Answer]) -> str:
    """Every table, for the settings that there are answers of."""
    frame = pd.DataFrame(answers)
    told = []
    for setting, title in SETTINGS.items():
        rows = frame[frame["setting"] == setting]
        if rows.empty:
            continue
        told.append(
            f"### {title}\n\n{len(rows)} fleets of {rows['parts'].median():.0f} parts in service, "
            f"{rows['failures'].median():.0f} failures in the records (medians), "
            f"{rows['seconds'].median():.1f} s each.\n\n"
            + _markdown(HEADER, [_line(rows, name) for name in QUANTITIES])
        )
    return "\n\n".join([*told, NOTES]) + "\n"


NOTES = (
    "Held: the central 80 % interval, from the smallest number reached with 10 % to the smallest "
    "reached with 90 %, both counted in. A number of failures is a large step, so that such an "
    "interval has more than 80 % by the forecast itself: beside it. Ties by chance: the truth's "
    "place among the forecasts, a random place among equals, lies between .1 and .9; 80 % if the "
    "forecast is right, however large the steps. Even: those places are uniform, by "
    "Kolmogorov-Smirnov and by the chi-squared test of ten tenths. After ± stands one standard "
    "error."
)


def even(places: pd.Series) -> tuple[float, float]:
    """Chances that places so uneven, or more, come of a right forecast: KS, and by tenths."""
    counted = np.histogram(places, bins=10, range=(0.0, 1.0))[0]
    return float(stats.kstest(places, "uniform").pvalue), float(stats.chisquare(counted).pvalue)


def between(places: pd.Series) -> float:
    """Share of places in the central 80 %."""
    return float(places.between(*ENDS).mean())


def _line(rows: pd.DataFrame, name: str) -> list[str]:
    places = rows[f"{name} pit"]
    ks, tenths = even(places)
    low, high = ENDS
    again = rows[f"{name} held again"]
    return [
        name,
        f"{rows[f'{name} mean'].mean():,.1f}",
        f"{rows[f'{name} truth'].mean():,.1f}",
        _share(rows[f"{name} held"]),
        f"{100 * rows[f'{name} inside'].mean():.1f} %",
        _share(places.between(low, high).astype(float)),
        f"{100 * (places < low).mean():.1f} %, {100 * (places > high).mean():.1f} %",
        _share(again) if again.nunique() > 2 else "-",
        f"{ks:.3f}",
        f"{tenths:.3f}",
    ]


def _share(held: pd.Series) -> str:
    error = held.std(ddof=0) / np.sqrt(len(held))
    return f"{100 * held.mean():.1f} ± {100 * error:.1f} %"


def _markdown(header: list[str], body: list[list[str]]) -> str:
    lines = [header, ["---"] * len(header), *body]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in lines)
