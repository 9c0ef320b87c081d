"""The tables of the comparison say what it holds."""

from __future__ import annotations

import numpy as np
import pytest

from analytics.ageing.clock_choice import ClockChoice, clock_choice
from analytics.ageing.clock_tables import (
    CHOICE_COLUMNS,
    FAILED,
    FITTED,
    FOUND,
    LIFE_COLUMNS,
    LINE_COLUMNS,
    ages_table,
    clocks_table,
    lines_table,
)
from tests.analytics.ageing.folders import fleet_of
from tests.analytics.ageing.worn_by import worn_by


@pytest.fixture(scope="module")
def choice() -> ClockChoice:
    lives = worn_by("hours", boats=8).lives
    return clock_choice(lives, lives.table)


def test_scores_of_the_lines_add_up_to_those_of_the_clocks(choice: ClockChoice) -> None:
    clocks, lines = clocks_table(choice).set_index("clock"), lines_table(choice)
    assert list(clocks.reset_index()[CHOICE_COLUMNS].columns) == CHOICE_COLUMNS
    assert list(lines.columns) == LINE_COLUMNS
    for clock in ("years", "hours"):
        assert lines[f"score_{clock}"].sum() == pytest.approx(clocks.loc[clock, "score"])
    assert lines["lead"].sum() == pytest.approx(choice.lead)
    # The standard error of a sum of independent terms.
    error = lines["lead"].std(ddof=1) * np.sqrt(len(lines))
    assert clocks["lead_error"].tolist() == pytest.approx([error, error])
    assert lines["lives"].sum() == len(choice.table) == clocks["lives"].iloc[0]
    assert lines["failures"].sum() == choice.failures
    assert clocks["as_set"].to_dict() == {"years": False, "hours": True}


def test_ages_on_both_clocks(choice: ClockChoice) -> None:
    ages = ages_table(choice)
    assert list(ages.columns) == LIFE_COLUMNS
    counts = ages["ended"].value_counts()
    assert counts[FAILED] == choice.failures
    assert counts[FITTED] == 8
    # Every boat runs evenly: hours go with years along each line.
    spread = ages.groupby("boat")["hours_a_year"].agg(lambda rate: rate.max() / rate.min())
    assert (spread < 1.05).all()
    days = (choice.table["end_hi"] - choice.table["start_lo"]).dt.days
    assert ages["years"].tolist() == pytest.approx((days / 365.25).tolist())


def test_a_failure_found_at_a_lift_stands_in_the_middle_of_its_window() -> None:
    parts = [
        f"{boat},single,cutless_bearing,,,2012-01-01,2016-01-01,failed,ashore,2014-01-01"
        for boat in "ABC"
    ] + [f"{boat},single,cutless_bearing,,,2016-01-01" for boat in "ABC"]
    hours = [
        f"{boat},single,{day},{shown}"
        for boat in "ABC"
        for day, shown in (("2012-01-01", 0), ("2022-01-01", 3653))
    ]
    lives = fleet_of(parts, hours=hours).lives
    found = ages_table(clock_choice(lives, lives.table))
    (years,) = set(found.loc[found["ended"] == FOUND, "years"].round(3))
    assert years == pytest.approx(3.0, abs=0.01)
    assert set(found.loc[found["ended"] == FOUND, "hours"].round()) == {1096.0}


def test_where_nothing_was_compared_the_tables_are_empty_and_keep_their_columns() -> None:
    lives = fleet_of(["A,single,bellows,,,2012-01-01"]).lives
    nothing = clock_choice(lives, lives.table)
    for table, columns in (
        (clocks_table(nothing), CHOICE_COLUMNS),
        (lines_table(nothing), LINE_COLUMNS),
        (ages_table(nothing), LIFE_COLUMNS),
    ):
        assert table.empty
        assert list(table.columns) == columns
