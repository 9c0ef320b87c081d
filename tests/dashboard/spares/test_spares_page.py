"""The page of spares and orders: the numbers of the command, whichever store and chance."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.stock import StockPlan
from analytics.decisions.stock_items import POOLED
from analytics.outlook.futures import Futures
from analytics.papers import spares as shared
from dashboard.spares import words as says
from tests.dashboard.pages import charts, opened, said, values


@pytest.fixture(scope="module")
def futures(sample: job.Fleet, sample_ageing: FleetAgeing) -> Futures:
    return job.spares_futures_of(sample, sample_ageing)


@pytest.fixture(scope="module")
def plan(sample: job.Fleet, futures: Futures) -> StockPlan:
    return job.spares_of(sample, futures)


def test_the_page_shows_what_the_command_writes(
    monkeypatch: pytest.MonkeyPatch,
    sample_folder: Path,
    sample: job.Fleet,
    futures: Futures,
    plan: StockPlan,
) -> None:
    monkeypatch.setenv("TIDEWORN_FOLDER", str(sample_folder))
    at = opened("spares")
    assert not at.error
    assert not at.exception
    each = plan.orders[(plan.orders["base"] != POOLED) & (plan.orders["to_buy"] > 0)]
    heading = at.subheader[0].value
    assert f"order {each['to_buy'].sum()} parts, EUR {each['cost'].sum():,.0f}" in heading
    money, orders, holdings = (at.dataframe[i].value for i in range(3))
    assert money["Parts"].tolist() == [
        *plan.money["parts"].tolist()[1:],
        plan.money["parts"].iloc[0],
    ]
    assert orders["Buy"].sum() == each["to_buy"].sum()
    assert len(holdings) == (plan.holdings["base"] != POOLED).sum()
    drawn = sum(values(bar["y"]).sum() for bar in charts(at)[0]["data"])
    ahead = plan.ahead.loc[plan.ahead["base"] != POOLED, "cost"].sum()
    assert drawn == pytest.approx(each["cost"].sum() + ahead)
    assert (
        holdings["Hold in all"].tolist()
        == plan.holdings.loc[plan.holdings["base"] != POOLED, "held"].tolist()
    )
    assert orders.columns.get_loc("Elsewhere") == orders.columns.get_loc("Buy") + 1
    text = said(at)
    assert shared.at_once(plan.together.everywhere, len(holdings)) in text
    assert shared.from_elsewhere(each) in text
    assert shared.shelf_money(each, "EUR") in text
    assert "ISO 2230" in text
    assert "which part number or size? Not counted until that is known." in text
    assert not re.search(r"\b(safe|seaworthy|certified)\b", text, re.IGNORECASE)

    # One base, then one store for all: each the lines of its own.
    at.selectbox(key="spares store").set_value("Quillhaven").run()
    quay = plan.orders[(plan.orders["base"] == "Quillhaven") & (plan.orders["to_buy"] > 0)]
    assert at.dataframe[0].value["Buy"].sum() == quay["to_buy"].sum()
    assert "Base" not in at.dataframe[0].value
    at.selectbox(key="spares store").set_value(POOLED).run()
    pooled = plan.money[plan.money["base"] == POOLED].iloc[0]
    assert f"order {pooled['parts']} parts, EUR {pooled['cost']:,.0f}" in at.subheader[0].value

    # More certainty, and nothing but the chance: another plan, the same as the command's.
    at.selectbox(key="spares store").set_value(says.EVERY_BASE).run()
    at.select_slider(key="spares chance").set_value(0.99).run()
    at.checkbox(key="spares one").uncheck().run()
    assert not at.exception
    asked = job.spares_of(sample, futures, 0.99, one_where_it_pays=False).orders
    asked = asked[(asked["base"] != POOLED) & (asked["to_buy"] > 0)]
    assert at.dataframe[1].value["Buy"].sum() == asked["to_buy"].sum() != each["to_buy"].sum()
    assert f"EUR {asked['cost'].sum():,.0f}" in at.subheader[0].value
    assert "What to hold, for 99 of 100 on each line" in said(at)


def test_without_prices_and_store_the_page_says_what_is_missing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "fleet.toml").write_text("as_of = 2024-12-31\nrecords_from = 2005-01-01\n")
    (tmp_path / "boats.csv").write_text("boat\nWren\nOtter\n")
    rows = ["Wren,single,bellows,30 mm,2019-02-01,,", "Otter,single,bellows,,2016-02-01,,"]
    rows += [f"{boat},single,bellows,30 mm,2006-02-01,2012-05-01,failed"
             for boat in ("Wren", "Otter")]  # fmt: skip
    header = "boat,position,kind,size,fitted_on,removed_on,reason"
    (tmp_path / "parts.csv").write_text("\n".join([header, *rows]) + "\n")
    monkeypatch.setenv("TIDEWORN_FOLDER", str(tmp_path))
    at = opened("spares")
    assert not at.error
    assert not at.exception
    text = said(at)
    assert says.NO_PRICES in text
    assert says.NO_STOCK in text
    # Without a price nothing can be compared with what waiting costs.
    assert [box.disabled for box in at.checkbox] == [True]
    assert says.ONE_NEEDS_PRICES in text
    assert "28 days are assumed" in text
    assert "Which size is the bellows of Otter? Ask before ordering." in text
    assert "EUR" not in at.subheader[0].value
