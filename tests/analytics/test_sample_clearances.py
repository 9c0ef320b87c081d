"""Clearances in the invented fleet: in step with the true lives, and moving nothing else.

The scenario is the project's own invention; there is no outside source for it.
"""

import json
from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd
import pytest

from analytics.job import open_fleet
from analytics.sample import TARNWICK, InventedFleet, invent_fleet
from analytics.sample.scenario import Clearances
from tests.analytics.invented import rows_of, true_parts, truth_of

CLEARANCES = TARNWICK.clearances
assert isinstance(CLEARANCES, Clearances)


@pytest.fixture(scope="module")
def fleet() -> InventedFleet:
    return invent_fleet(boats=200, seed=3)


@pytest.fixture(scope="module")
def read(fleet: InventedFleet) -> pd.DataFrame:
    """Readings with what is true of each."""
    truth = truth_of(fleet)
    of_reading = pd.DataFrame(truth["readings"], columns=truth["reading_columns"])
    rows = rows_of(fleet, "readings.csv").astype({"value": float})
    rows = rows.assign(row=np.arange(2, len(rows) + 2)).merge(of_reading, on="row")
    parts = true_parts(fleet).reset_index().rename(columns={"row": "part_row"})
    sizes = {boat["boat"]: boat["shaft_mm"] for boat in truth["boats"]}
    rows = rows.merge(
        parts[["part_row", "boat", "position", "kind", "fitted_on", "ended_on", "wear_out",
               "cause", "failed_on"]],
        on="part_row", suffixes=("", "_true"),
    )  # fmt: skip
    return rows.assign(size=rows["boat_true"].map(sizes))


def test_without_clearances_every_other_file_is_the_same() -> None:
    with_them = invent_fleet(boats=12, seed=4)
    without = invent_fleet(replace(TARNWICK, clearances=None), boats=12, seed=4)
    for name, text in without.files.items():
        if name not in ("readings.csv", "truth.json"):
            assert with_them.files[name] == text
    assert len(without.files["readings.csv"].splitlines()) == 1
    assert with_them.files["truth.json"].count("true_mm") == 2
    lists = [json.loads(one.files["truth.json"]) for one in (with_them, without)]
    for name in ("boats", "parts", "defects"):
        assert lists[0][name] == lists[1][name]


def test_a_reading_is_of_its_part_while_it_was_in_place(read: pd.DataFrame) -> None:
    for column in ("boat", "position", "kind"):
        assert (read[column] == read[f"{column}_true"]).all()
    assert (read["read_on"].astype(str) > read["fitted_on"].astype(str)).all()
    gone = read["ended_on"].notna()
    assert (read.loc[gone, "read_on"].astype(str) <= read.loc[gone, "ended_on"].astype(str)).all()
    assert pd.to_datetime(read["read_on"]).dt.year.min() == CLEARANCES.first_year
    assert len(read) > 300


def test_what_wore_out_was_past_its_limit_and_nothing_else(read: pd.DataFrame) -> None:
    limit = read["size"].map(CLEARANCES.renew_mm)
    worn = (read["cause"] == "wear_out") & (
        read["failed_on"].astype(str) <= read["read_on"].astype(str)
    )
    assert worn.sum() > 20
    # A failure day is the first that starts with its hours: a day's wear, and rounding to 0.001.
    assert (read.loc[worn, "true_mm"] >= limit[worn] - 1e-3).all()
    assert (read.loc[~worn, "true_mm"] <= limit[~worn] + 5e-3).all()


def test_readings_scatter_about_the_truth_as_stated(read: pd.DataFrame) -> None:
    error = read["value"] - read["true_mm"]
    assert error.mean() == pytest.approx(0.0, abs=3 * CLEARANCES.error_sd / np.sqrt(len(read)))
    assert error.std() == pytest.approx(CLEARANCES.error_sd, rel=0.12)
    assert read["value"].min() >= 0


def test_silt_wears_faster(fleet: InventedFleet, read: pd.DataFrame) -> None:
    bases = rows_of(fleet, "boats.csv").set_index("boat")["base"]
    room = read["size"].map(CLEARANCES.renew_mm) - read["size"].map(CLEARANCES.new_mm)
    rate = (1000 * room / read["wear_out"]).groupby(read["boat"].map(bases)).median()
    assert rate["Sandrick Lagoon"] > 1.3 * rate["Port Ellorn"]


def test_the_reader_takes_every_reading() -> None:
    fleet = invent_fleet(boats=20, seed=2)
    files = {name: text.encode() for name, text in fleet.files.items() if name != "truth.json"}
    records = open_fleet(files).records
    counts = records.counts.set_index("file").loc["readings.csv"]
    assert counts["rows_read"] == counts["used"] == len(rows_of(fleet, "readings.csv"))
    assert date.fromisoformat(rows_of(fleet, "readings.csv")["read_on"].iloc[0])
