"""What is said of causes; no Streamlit."""

from __future__ import annotations

import numpy as np
import pandas as pd

from analytics.ageing.fit import Ageing
from analytics.papers.words import count
from analytics.records.kinds import Kind

LABELS = {
    "early": "bad fit",
    "wear_out": "wear-out",
    "failed": "failed, bad fit or wear-out",
    "accident": "accident",
    "all": "any of them",
}
DID = {"wear_out": "wear out", "accident": "are lost to accidents"}

LEAD = (
    "Each cause acts on its own: a bad fit shows soon after fitting, wear-out comes with age, an "
    "accident at any age. At every age their rates add up."
)
RATE_CAPTION = (
    "How fast parts that are still there end by each cause, of the typical part, and all causes "
    "together with the 90 % range. Dashed by cause, so that colour is not the only sign."
)
SHARE_CAPTION = (
    "Of 100 new parts, how many each cause has ended by an age if nothing is replaced before: a "
    "part that one cause has ended cannot end by another. Steps: the records' own count "
    "(Aalen-Johansen), which can tell accidents from failures and not a bad fit from wear-out. "
    "Lines: the fit, of the same mix of parts as was watched at each age."
)
TABLE_CAPTION = (
    "Parts in 100 that end by each cause in a year at the rate of that age, with the 90 % range. "
    "A part may not last a whole year at a high rate; the numbers allow for it. Bad fits are not "
    "in it: they come earlier."
)
NOT_FITTED = (
    "These records say too little to tell causes apart: what follows is what was believed before "
    "them."
)


def in_a_year(rate: float) -> float:
    """Share of parts that end within a year at a rate per year."""
    return float(-np.expm1(-rate))


def hundredths(share: float) -> str:
    """A share as parts in 100, rounded as in the table: "12", "3.9", "fewer than 0.1", "none"."""
    if share <= 0:
        return "none"
    if 100 * share < 0.05:
        return "fewer than 0.1"
    return in_figures(share)


def in_figures(share: float) -> str:
    """A share as parts in 100: with one decimal below 10, in whole parts from there on."""
    text = f"{100 * share:.1f}"
    return text if float(text) < 10 else f"{100 * share:.0f}"


def hours_a_year(fitted: Ageing) -> str:
    """What 1,000 shaft hours are in years, so that rates by hours and by years compare."""
    if fitted.kind.clock != "hours":
        return ""
    hours = fitted.units_per_year
    return (
        f"These parts run about {hours:,.0f} shaft hours a year, so that 1,000 shaft hours are "
        f"about {1000 / hours:.1f} years."
    )


def bad_fits(kind: Kind, early: tuple[float, float, float]) -> str | None:
    """How many installs fail from a bad fit: mean and 90 % range."""
    if "early" not in kind.causes:
        return None
    mean, low, high = early
    return (
        f"**Within {kind.early_days} days of fitting:** {hundredths(mean)} in 100 fail from a bad "
        f"fit (likely {in_figures(low)} to {in_figures(high)})."
    )


def at_ages(table: pd.DataFrame, kind: Kind) -> list[str]:
    """A sentence per age: "At 8 years: 4 in 100 a year wear out, 1 in 100 ...".

    Parameters
    ----------
    table : DataFrame
        `causes.causes_table` at a few ages, past those of bad fits.
    """
    said = []
    for age, here in table.groupby("age", sort=True):
        rate = here.set_index("cause")["per_year"]
        parts = [
            f"{hundredths(in_a_year(float(rate[cause])))} in 100{{}} {DID[cause]}"
            for cause in ("wear_out", "accident")
            if cause in rate.index
        ]
        told = " and ".join(parts).format(" a year", *[""] * len(parts))
        said.append(f"**At {_age(float(str(age)), kind)} {kind.unit}:** {told}.")
    return said


def shares(fitted: Ageing, ended: pd.DataFrame) -> str:
    """What the lives in the records ended by."""
    of = ended.set_index("cause")
    failed, lost = fitted.failures, fitted.accidents
    told = []
    by = "by what is believed" if fitted.rests_on_prior else "by the fit"
    if not failed:
        told.append("No part is written down as failed.")
    elif "early" in of.index:
        row = of.loc["early"]
        # Whole parts, and tenths where whole ones would make a range from a number to itself.
        digits = 1 if round(row["estimated_low"]) == round(row["estimated_high"]) else 0
        middle, low, high = (
            f"{row[f'estimated{end}']:.{digits}f}" for end in ("", "_low", "_high")
        )
        limits = f" ({low} to {high})" if low != high else ""
        number, verb = f"about **{middle}**{limits}", "were"
        if float(row["estimated_high"]) < 0.5:
            number, verb = "hardly any", "was"
        told.append(
            f"Of {count(failed, 'part')} that failed, {number} {verb} badly fitted, {by}; the "
            "others wore out. The records do not say which: it is told from the age."
        )
    else:
        told.append(f"{count(failed, 'part')} failed, all taken as wear-out.")
    if "accident" in of.index:
        told.append(
            f"{count(lost, 'part was', 'parts were')} lost to an accident, as written down."
            if lost
            else "No accident is written down."
        )
    return " ".join(told)


def _age(age: float, kind: Kind) -> str:
    return f"{age:,.3g}" if kind.clock == "years" else f"{age:,.0f}"


def shown(table: pd.DataFrame, kind: Kind) -> pd.DataFrame:
    """Rates by cause as texts, a row per age."""
    rows = []
    for age, here in table.groupby("age", sort=True):
        row = {f"Age, {kind.unit}": _age(float(str(age)), kind)}
        for line in here.to_dict("records"):
            if line["cause"] in ("early", "failed"):
                continue
            ends = [
                in_figures(in_a_year(float(line[name])))
                for name in ("per_year", "per_year_low", "per_year_high")
            ]
            label = LABELS[str(line["cause"])]
            row[f"{label[0].upper()}{label[1:]}"] = f"{ends[0]} ({ends[1]} to {ends[2]})"
        rows.append(row)
    return pd.DataFrame(rows)
