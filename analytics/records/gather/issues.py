"""What the stores issued for the jobs: sizes, lots and numbers, and never a part of its own."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from analytics.records.gather.event_rows import leave, say
from analytics.records.gather.ledger import Ledger

_OF_STORES = ("part_no", "size", "lot")
"""What the stores know of a part better than a list of jobs."""


def with_issues(
    events: pd.DataFrame, issues: pd.DataFrame, ledger: Ledger, currency: str
) -> pd.DataFrame:
    """Fill in what the stores know of the parts of a job; issues that no job bears are no events.

    One job in the list of jobs and in that of the parts is one thing: a line of
    the stores adds size, lot and number, never a failure or a fitting.

    Parameters
    ----------
    events : DataFrame
        Columns `COLUMNS`.
    issues : DataFrame
        `line`, `job` and what the stores say, with the same names.
    ledger : Ledger
    currency : str
        The fleet's, an ISO 4217 code.
    """
    # Several lists of the stores have not the same columns.
    texts = issues.select_dtypes("object").columns
    issues = issues.assign(**{str(name): issues[name].fillna("") for name in texts})
    if issues.empty:
        return events
    _tell_prices(issues, ledger, currency)
    events = events.copy()
    fitting = events["action"].isin(["fitted", "replaced", "refurbished"])
    by_job: dict[tuple[str, str], list[int]] = {}
    kinds: dict[str, set[str]] = {}
    at_work = events.loc[fitting & events["job"].ne(""), ["job", "kind"]]
    for at, job, kind in zip(at_work.index, at_work["job"], at_work["kind"], strict=True):
        by_job.setdefault((job, kind), []).append(at)
        kinds.setdefault(job, set()).add(kind)
    joined: list[int] = []
    bought: list[int] = []
    # Not by line: of two issues for one part, which fills it must not depend on the file's order.
    told = ["job", *(name for name in ("kind", *_OF_STORES) if name in issues), "line"]
    for _, issue in issues.sort_values(told)[told].iterrows():
        job, kind = issue["job"], issue.get("kind", "")
        if not kind and len(kinds.get(job, ())) == 1:
            (kind,) = kinds[job]  # a stores' list may give part numbers alone
        rows = by_job.get((job, kind), [])
        (joined if rows else bought).append(int(issue["line"]))
        for at in rows:
            for name in _OF_STORES:
                if not events.at[at, name] and issue.get(name):
                    events.at[at, name] = issue[name]
    if joined:
        leave(
            ledger,
            joined,
            "job",
            _rows_of_stores(joined),
            "one row for one part",
            "merged",
            "Joined with the jobs of the same numbers: they add size, lot and part number, and "
            "count no part of their own.",
            "job_and_parts_lines",
        )
    if bought:
        without_job(bought, ledger)
    return events


def without_job(lines: Sequence[int], ledger: Ledger) -> None:
    """Leave out what was taken from the stores and is in no job."""
    leave(
        ledger,
        lines,
        "job",
        _rows_of_stores(lines),
        "a job in which the part was fitted",
        "ignored",
        "Taken from the stores, and no job says that it was fitted: a part in stock does not "
        "age on a shaft. Add the job if it was.",
        "bought_not_fitted",
    )


def _rows_of_stores(lines: Sequence[int]) -> str:
    return f"{len(lines)} rows of the stores" if len(lines) > 1 else "1 row of the stores"


def _tell_prices(issues: pd.DataFrame, ledger: Ledger, currency: str) -> None:
    """What the stores paid is not used as a price; what looks odd in it is told all the same."""
    if "currency" in issues:
        foreign = issues["currency"].ne("") & issues["currency"].str.upper().ne(currency)
        for code, rows in issues[foreign].groupby("currency", sort=True):
            say(
                ledger,
                rows["line"].tolist(),
                "currency",
                str(code),
                f"prices in {currency}",
                "noted",
                "The stores' prices are not used: prices.csv or a list of prices says what parts "
                "cost.",
                "currency_mixed",
            )
    if "price" in issues and issues["price"].eq(0).any():
        say(
            ledger,
            issues.loc[issues["price"].eq(0), "line"].tolist(),
            "price",
            "0",
            "a price",
            "noted",
            "A part that cost nothing is counted as any other: it may have been replaced under "
            "warranty.",
            "warranty_swap",
        )
