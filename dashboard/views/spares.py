"""What to hold in store, what to order and by when, and what will expire."""

from math import isnan

import pandas as pd
import streamlit as st

from analytics.decisions.prices import price_list
from analytics.decisions.stock import StockPlan
from analytics.decisions.stock_holding import CHANCE
from analytics.decisions.stock_items import POOLED
from analytics.decisions.stock_orders import order_months
from analytics.job import Fleet
from analytics.papers import spares as shared
from analytics.records.settings import Settings
from dashboard import choices, frame, results, words
from dashboard.results import Asked
from dashboard.spares import figures, tables
from dashboard.spares import words as says


def show(asked: Asked) -> None:
    fleet = results.fleet(asked)
    settings = fleet.records.settings
    if fleet.lives.in_service().empty:
        st.warning(words.NO_PARTS)
        return
    chance, one = asked_for(priced=priced(fleet))
    plan = results.spares(asked, chance, one_where_it_pays=one)
    store = store_shown(plan)
    lines = of_store(plan.orders, store)
    st.subheader(says.heading(plan, lines, settings.currency))
    sentences = says.sentences(plan, lines, store, settings.currency)
    st.markdown("\n".join(f"- {sentence}" for sentence in sentences))
    if plan.orders["part_price"].isna().all():
        st.info(says.NO_PRICES)
    if store == says.EVERY_BASE and len(plan.money) > 2:
        st.dataframe(tables.money(plan.money), column_config=tables.MONEY_COLUMNS, hide_index=True)
    frame.not_an_inspection()
    orders(plan, lines, store, settings)
    questions(plan, settings)
    shelves(plan, store, settings)
    in_store(plan, store, settings)
    lift_after(plan, store, settings)
    with st.expander(says.TAKEN_FOR_GRANTED):
        st.markdown("\n".join(f"- {line}" for line in shared.assumed(plan, settings)))
    frame.cautions()
    frame.assumptions(settings, results.ageing(asked), money_too=True)


def priced(fleet: Fleet) -> bool:
    """Whether any part in service has a price."""
    prices = price_list(fleet.records)
    in_service = fleet.lives.in_service()[["kind", "part_no"]].drop_duplicates()
    return any(
        not isnan(prices.of(kind, part_no).part)
        for kind, part_no in in_service.itertuples(index=False, name=None)
    )


def asked_for(*, priced: bool) -> tuple[float, bool]:
    """The chance of not waiting, and whether one is held where waiting costs more."""
    st.session_state.setdefault("spares chance", CHANCE)
    st.session_state.setdefault("spares one", True)
    left, right = st.columns(2, vertical_alignment="bottom")
    chance = left.select_slider(
        says.CHANCE_LABEL,
        says.CHANCES,
        format_func=shared.in_hundred,
        help=says.CHANCE_HELP,
        key="spares chance",
    )
    if not priced:
        # A key of its own: what was chosen for a fleet with prices stays.
        right.checkbox(says.ONE_LABEL, value=False, disabled=True, key="spares one, no prices")
        right.caption(says.ONE_NEEDS_PRICES)
        return float(chance), False
    one = right.checkbox(says.ONE_LABEL, help=says.ONE_HELP, key="spares one")
    return float(chance), bool(one)


def store_shown(plan: StockPlan) -> str:
    stores = [says.EVERY_BASE, *shared.stores_of(plan), POOLED]
    choices.only("spares store", stores)
    shown: str = st.selectbox(
        says.FOR_LABEL, stores, format_func=says.store_name, key="spares store"
    )
    return shown


def of_store(table: pd.DataFrame, store: str) -> pd.DataFrame:
    """Lines of one store, or of every base without those of one store for all."""
    at = table["base"]
    return table[at != POOLED if store == says.EVERY_BASE else at == store]


def orders(plan: StockPlan, lines: pd.DataFrame, store: str, settings: Settings) -> None:
    bought = lines[lines["to_buy"] > 0]
    if bought.empty:
        return
    priced = bool(bought["part_price"].notna().any())
    st.plotly_chart(
        figures.order_months(
            order_months(lines, of_store(plan.ahead, store)), settings.currency, priced=priced
        ),
        config=frame.CHART,
        key="orders chart",
    )
    st.caption(says.MONTHS_READING)
    st.markdown(f"**Order list for season {plan.season.year}**")
    st.dataframe(
        tables.orders(lines, settings),
        column_config=tables.ORDER_COLUMNS,
        hide_index=True,
        height=frame.rows(len(bought), 40),
    )
    no_lead = bool(lines["lead_time_days"].isna().all())
    st.caption(f"{says.NO_LEAD} {says.ORDER_READING}" if no_lead else says.ORDER_READING)
    download("Order list as CSV", lines, "spares.csv", plan, store, settings)


def questions(plan: StockPlan, settings: Settings) -> None:
    st.subheader("Ask before ordering")
    if plan.questions.empty:
        st.markdown(says.NO_QUESTIONS)
        return
    listed = [words.plain(one) for one in plan.questions["question"]]
    st.markdown("\n".join(f"- {one}" for one in listed[: says.MOST_QUESTIONS]))
    if len(listed) > says.MOST_QUESTIONS:
        st.markdown(says.more_questions(len(listed) - says.MOST_QUESTIONS))
    download("Questions as CSV", plan.questions, "questions.csv", plan, "", settings)


def shelves(plan: StockPlan, store: str, settings: Settings) -> None:
    lines = of_store(plan.holdings, store)
    st.subheader(f"What to hold, for {shared.in_hundred(plan.chance)} on each line")
    st.caption(f"{says.HOLD_READING} {shared.waiting(settings)}")
    st.dataframe(
        tables.holdings(lines, settings),
        column_config=tables.HOLD_COLUMNS,
        hide_index=True,
        height=frame.rows(len(lines), 14),
    )
    download("Holdings as CSV", lines, "holdings.csv", plan, store, settings)


def in_store(plan: StockPlan, store: str, settings: Settings) -> None:
    st.subheader("What is in store")
    everywhere = store in (says.EVERY_BASE, POOLED)
    rows = plan.store if everywhere else plan.store[plan.store["base"] == store]
    if rows.empty:
        st.info(says.NO_STOCK if plan.store.empty else says.NONE_HERE)
    else:
        st.dataframe(
            tables.store(rows, settings),
            column_config=tables.STORE_COLUMNS,
            hide_index=True,
            height=frame.rows(len(rows), 14),
        )
        st.caption(says.STORE_READING)
        download("Store as CSV", rows, "in_store.csv", plan, store, settings)
    st.markdown("**How long it may be stored**")
    st.dataframe(tables.storage(plan.storage, settings), hide_index=True)
    st.caption(says.STORAGE_READING)


def lift_after(plan: StockPlan, store: str, settings: Settings) -> None:
    lines = of_store(plan.ahead, store)
    if lines.empty:
        return
    st.subheader(f"Planned for the lift before season {plan.season.year + 1}")
    st.dataframe(
        tables.ahead(lines, settings),
        column_config=tables.AHEAD_COLUMNS,
        hide_index=True,
        height=frame.rows(len(lines), 14),
    )
    st.caption(says.AHEAD_READING)
    download("Lift after as CSV", lines, "orders_ahead.csv", plan, store, settings)


def download(
    label: str, table: pd.DataFrame, file: str, plan: StockPlan, store: str, settings: Settings
) -> None:
    """A table of the page; season and store are in the file's name, what was asked is in it."""
    named = shared.written(plan, table)
    filters = [] if store in ("", says.EVERY_BASE) else [says.store_name(store)]
    frame.download(label, named, settings, file, season=plan.season.year, filters=filters)


frame.page(frame.PAGES["views/spares.py"], says.LEAD, show)
