"""The page of the parts budget: the job's own numbers, in words, pictures, tables and files."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.budget import Budget
from analytics.papers import budget_sentences as shared
from dashboard import budget_figures as figures
from dashboard import budget_tables as tables
from dashboard import budget_words as says
from tests.dashboard.pages import charts, named, opened, said, values


@pytest.fixture(scope="module")
def budget(sample: job.Fleet, sample_ageing: FleetAgeing) -> Budget:
    return job.budget_of(sample, job.futures_of(sample, sample_ageing, seasons=3))


@pytest.fixture
def page(monkeypatch: pytest.MonkeyPatch, sample_folder: Path) -> AppTest:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(sample_folder))
    return opened("budget").slider(key="horizon").set_value(3).run()


TABLES = ("seasons money", "seasons numbers", "view money", "view numbers")


def table(at: AppTest, name: str) -> pd.DataFrame:
    assert len(at.dataframe) == len(TABLES)
    return at.dataframe[TABLES.index(name)].value


def test_words_pictures_and_tables_are_the_jobs(page: AppTest, budget: Budget) -> None:
    assert not page.exception
    total = budget.fleet()
    first = total.iloc[0]
    headline = next(one.value for one in page.subheader if one.value.startswith("Season 2"))
    amounts = [int(text.replace(",", "")) for text in re.findall(r"EUR ([\d,]+)", headline)]
    enough, committed, contingency = amounts
    assert enough == float(f"{first['cost_p80']:.2e}")
    assert committed + contingency == enough
    pieces = {one.label: int(re.sub(r"\D", "", one.value)) for one in page.metric}
    unit = 10 ** (len(str(enough)) - 3)
    for label, column in (
        ("Committed", "committed"),
        ("Forecast", "forecast"),
        ("Contingency", "contingency"),
    ):
        assert pieces[label] == pytest.approx(first[column], abs=unit)
    assert list(pieces) == ["Committed", "Contingency", "Forecast"]
    assert shared.added_up(first, "EUR") in said(page)
    assert re.search(r"The season's page counts \d+ parts past a limit by the lift", said(page))
    begin, end = budget.period
    year = f"{begin.day} {begin:%B %Y} to {end.day} {end:%B %Y}"
    assert any(f"here means {year}; a worn bearing" in one.value for one in page.caption)
    seasons, spread, months = charts(page)
    drawn = named(seasons, "committed (planned), mean")
    assert values(drawn["y"]) == pytest.approx(total["committed"])
    assert values(named(seasons, "P80")["y"]) == pytest.approx(total["cost_p80"])
    assert values(spread["data"][0]["x"]) == pytest.approx(budget.totals[:, 0])
    of_first = budget.months[budget.months["season"] == first["season"]]
    drawn = named(months, "forecast (unplanned), mean")
    assert values(drawn["y"]) == pytest.approx(of_first["forecast"])
    shown = table(page, "seasons money")
    assert shown["P80"].tolist()[:3] == total["cost_p80"].round().tolist()
    assert shown["P80"].iloc[3] == round(budget.horizon["cost_p80"].iloc[0])
    assert shown["Luck"].tolist() == [100 * spread.share_luck for spread in budget.spreads]
    numbers = table(page, "seasons numbers")
    assert numbers["Found worn"].tolist()[:3] == total["found_worn"].tolist()
    luck = round(100 * budget.spreads[0].share_luck)
    assert f"Of the spread, {luck} % is luck" in said(page)


def test_every_view_adds_up_to_the_season(page: AppTest, budget: Budget) -> None:
    page.selectbox(key="budget season").set_value(budget.seasons[1].year).run()
    total = budget.fleet().iloc[1]
    for view in tables.VIEWS:
        page.radio(key="budget by").set_value(view).run()
        assert not page.exception
        money, numbers = table(page, "view money"), table(page, "view numbers")
        assert len(money) == len(numbers) > 1
        assert "" not in money.iloc[:, 0].tolist()
        if view == "Boat":
            assert money["Mean"].is_monotonic_decreasing  # the page shows the dearest
            continue
        assert numbers["Mean"].sum() == pytest.approx(total["quantity_mean"]), view
        # Shown in whole units: half a one off in each line at most.
        near = pytest.approx(total["committed"], abs=len(money) / 2)
        assert money["Committed"].sum() == near, view


def test_links_to_the_orders_and_hands_out_files(page: AppTest) -> None:
    labels = [button.proto.label for button in page.get("download_button")]
    assert "Budget as a workbook (XLSX)" in labels
    assert "Budget as CSV" in labels
    assert says.TO_SPARES in [link.proto.label for link in page.get("page_link")]


@pytest.mark.parametrize("view", tables.VIEWS)
def test_files_of_the_views_are_those_of_the_command(budget: Budget, view: str) -> None:
    name = says.view_file(view)
    assert name == "budget.csv" or hasattr(
        budget, name.removeprefix("budget_").removesuffix(".csv")
    )


def drawings(budget: Budget) -> dict[str, Any]:
    months = budget.months[budget.months["season"] == budget.seasons[0].year]
    return {
        "seasons": figures.seasons(budget.fleet(), "EUR", priced=True),
        "numbers": figures.seasons(budget.fleet(), "EUR", priced=False),
        "months": figures.months(months, "EUR", priced=True),
        "total": figures.total(budget.totals[:, 0], budget.fleet().iloc[0], "EUR"),
    }


@pytest.mark.parametrize("name", ["seasons", "numbers", "months", "total"])
def test_paper_is_clear_and_axes_name_their_unit(budget: Budget, name: str) -> None:
    layout = drawings(budget)[name].layout
    assert layout.paper_bgcolor == layout.plot_bgcolor == "rgba(0,0,0,0)"
    titles = f"{layout.xaxis.title.text} {layout.yaxis.title.text}"
    assert re.search("EUR|Parts renewed", titles)


def test_no_colour_stands_alone(budget: Budget) -> None:
    drawn = drawings(budget)
    for name in ("seasons", "months"):
        bars = [trace for trace in drawn[name].data if trace.type == "bar"]
        assert len({bar.marker.pattern.shape for bar in bars}) == len(bars) == 2
    lines = drawn["total"].layout.shapes
    assert len({line.line.dash for line in lines}) == len(lines) == 4
    marked = {note.text: note.x for note in drawn["total"].layout.annotations}
    first = budget.fleet().iloc[0]
    assert marked["planned"] == first["committed"]
    assert marked["P80"] == first["cost_p80"]
    assert np.isclose(marked["P80"] - marked["planned"], first["contingency"])
