"""What the regressions beside the life factors say, in sentences."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from analytics.ageing.groups.regression import MOST_LIVES, Regression

BY_LUCK = 0.05
"""An effect is said to change with age where luck alone would show as much in any of the fields
tested less often than this (each field's p times their number)."""

_NAMED = 3


def agreement_sentences(regression: Regression, groups: pd.DataFrame | None = None) -> list[str]:
    """Whether the regressions say what the life factors say, in one to three sentences.

    Empty where there is nothing to compare.

    Parameters
    ----------
    regression : Regression
    groups : DataFrame, optional
        From `standing_out.factors_table`: levels that are the very same lives as another
        are then counted once.
    """
    table = regression.table.dropna(subset=["accelerated"])
    if groups is not None:
        table = _once(table, groups)
    if table.empty:
        return _by_rate_alone(regression.table)
    clear = table[(table["factor_high"] < 1) | (table["factor_low"] > 1)]
    other_way, apart = clear[~clear["same_way"].astype(bool)], table[~table["overlap"].astype(bool)]
    n, overlapping = len(table), len(table) - len(apart)
    head = "The regressions agree with the life factors"
    if len(apart) or len(other_way):
        head = "The regressions agree with the life factors for the most part"
    if len(apart) * 2 > n or len(other_way) * 2 > max(len(clear), 1):
        head = "**The regressions do not agree with the life factors**"
    said = [
        f"{head}: of {_groups(n)} compared, the likely ranges overlap for "
        f"{'all' if overlapping == n else overlapping}"
        + (
            f", and of the {len(clear)} whose factor is clearly not 1, "
            f"{'all point' if other_way.empty else f'{len(clear) - len(other_way)} point'} the "
            "same way."
            if len(clear)
            else "; none has a factor that is clearly not 1."
        )
    ]
    parted = pd.concat([other_way, apart]).drop_duplicates(["field", "level"])
    if len(parted):
        named = [_beside(row) for row in parted.head(_NAMED).to_dict("records")]
        more = f" and {len(parted) - _NAMED} more" if len(parted) > _NAMED else ""
        said.append(f"They part at {'; '.join(named)}{more}.")
    further = int((_from_1(table["accelerated"]) > _from_1(table["factor"])).sum())
    wider = int((_width(table, "accelerated") > _width(table, "factor")).sum())
    said.append(
        "Life factors are drawn towards 1 by what the other groups show, and a regression does "
        f"not do that: its figure lies further from 1 for {further or 'none'} of the {n}, and its "
        f"range is wider for {wider or 'none'}."
    )
    return said


def _from_1(factor: pd.Series) -> pd.Series:
    return pd.Series(np.abs(np.log(factor)), index=factor.index)


def _width(table: pd.DataFrame, name: str) -> pd.Series:
    """How many times as high the upper end of a range is as the lower, as a logarithm."""
    wide = table[f"{name}_high"] / table[f"{name}_low"]
    return pd.Series(np.log(wide), index=table.index)


def _once(table: pd.DataFrame, groups: pd.DataFrame) -> pd.DataFrame:
    """Rows without those of the same lives as a row before them."""
    same = {
        (row["field"], row["level"]): str(row["same_lives_as"]) for row in groups.to_dict("records")
    }
    kept, told = [], ""
    for field, level in zip(table["field"], table["level"], strict=True):
        new = f", {str(field).replace('_', '-')} {level}, " not in told
        kept.append(new)
        if new:
            told += f", {same.get((field, level), '')}, "
    return table[np.array(kept, dtype=bool)]


def steadiness_sentence(regression: Regression) -> str:
    """Whether an effect changes with age; empty where it was not tested."""
    tests = _tests(regression)
    if tests.empty:
        return ""
    n = len(tests)
    changing = tests[tests["changes_p"] * n < BY_LUCK]
    if changing.empty:
        least = float(tests["changes_p"].min())
        return (
            f"Nothing shows that an effect on the failure rate changes with age (the least of "
            f"{n} {'test' if n == 1 else 'tests'}: p = {least:.2f}). With few failures, little "
            "would show."
        )
    named = " and ".join(
        f"{_field(name)} (p = {_p(value)})"
        for name, value in zip(changing["field"], changing["changes_p"], strict=True)
    )
    return (
        f"The effect of {named} on the failure rate changes with age ({n} "
        f"{'test' if n == 1 else 'tests'} made): one figure for it is then a mean over the ages "
        "watched. A group that wears out in another way, not only sooner, shows in this manner."
    )


def method_sentences(regression: Regression) -> list[str]:
    """What the regressions took, and what they had to simplify."""
    r = regression
    if r.table.empty:
        return list(r.problems)
    drawn = r.of_lives - r.unwatched > r.lives
    said = [
        f"Two regressions without a prior, on {r.lives:,} "
        + (f"of {r.of_lives:,} " if r.lives != r.of_lives else "")
        + f"lives with {r.failures:,} worn-out failures: one in which each group multiplies the "
        "age (accelerated life), one in which it multiplies the failure rate (Cox). Each counts "
        "a life only while it was watched."
    ]
    if drawn:
        said.append(
            f"These {MOST_LIVES:,} lives were drawn by chance from all, with a fixed seed: more "
            "would take long."
        )
    simple = []
    if r.undated:
        simple.append(
            f"{r.undated:,} whose fitting is not known to a year, at the middle of their window"
        )
    if r.windowed:
        simple.append(
            f"{_of(r.windowed, 'failure')} found at some time between two days, half-way between"
        )
    if simple:
        said.append(f"Each life has a single age there: {'; '.join(simple)}.")
    if r.early:
        said.append(
            f"{r.early:,} early {'failure counts' if r.early == 1 else 'failures count'} as sound "
            "until then: a bad fit is another cause."
        )
    if r.unwatched:
        lives, are = ("life was", "is") if r.unwatched == 1 else ("lives were", "are")
        said.append(f"{r.unwatched:,} {lives} watched for no time and {are} left out.")
    if r.left_out:
        said.append(
            f"{_groups(r.left_out)} had too few failures for a figure of "
            f"{'its' if r.left_out == 1 else 'their'} own, or could not be told from others."
        )
    return [*said, *r.problems]


def _by_rate_alone(table: pd.DataFrame) -> list[str]:
    table = table.dropna(subset=["rate_ratio"])
    clear = table[(table["factor_high"] < 1) | (table["factor_low"] > 1)]
    if table.empty:
        return []
    if clear.empty:
        return ["No group has a factor that is clearly not 1, so there is nothing to confirm."]
    same = int(clear["same_way"].sum())
    return [
        f"Of {_groups(len(clear))} whose factor is clearly not 1, "
        f"{'all point' if same == len(clear) else f'{same} point'} the same way in the regression "
        "on the failure rate."
    ]


def _tests(regression: Regression) -> pd.DataFrame:
    """One row per test: fields whose effects are of each other share one."""
    tested = regression.table.dropna(subset=["changes_p"])
    return tested.drop_duplicates(["changes_chi2", "changes_degrees"])


def _beside(row: dict[Any, Any]) -> str:
    return (
        f"{_field(row['field'])} {row['level']} ({row['factor']:.2f} by the life factors, "
        f"{row['accelerated']:.2f} by regression, likely {row['accelerated_low']:.2f} to "
        f"{row['accelerated_high']:.2f})"
    )


def _groups(number: int) -> str:
    return _of(number, "group")


def _of(number: int, one: str) -> str:
    return f"{number:,} {one if number == 1 else one + 's'}"


def _field(name: str) -> str:
    return {"lay_up": "lay-up", "part_no": "part number"}.get(name, name.replace("_", " "))


def _p(value: float) -> str:
    return f"{value:.3f}" if value >= 0.001 else "less than 0.001"
