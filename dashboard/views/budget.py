"""What the coming seasons need: money, quantities, and what to order by when."""

import pandas as pd
import streamlit as st

from analytics.decisions.budget import ALL, Budget
from analytics.records.seasons import Season
from analytics.records.settings import Settings
from dashboard import figures, frame, results, tables, words
from dashboard.results import Asked


def show(asked: Asked) -> None:
    fleet, budget = results.fleet(asked), results.budget(asked)
    settings = fleet.records.settings
    if budget.spares.empty:
        st.warning(words.NO_PARTS)
        return
    season, total = fleet.coming_season(), budget.fleet()
    priced = bool(total["cost_mean"].any())
    first = total.iloc[0]
    if priced:
        st.subheader(words.first_season(first, season, settings.currency))
        if budget.unpriced:
            st.warning(words.unpriced(budget.unpriced))
    else:
        st.subheader(words.first_quantities(first, season))
        st.info(words.NO_PRICES)
    st.caption(words.P_WORDS)
    kinds = list(budget.kinds()["kind"].unique())
    shown = st.selectbox(
        "For",
        [ALL, *kinds],
        format_func=lambda name: "the whole fleet" if name == ALL else settings.kind(name).label,
        key="budget kind",
    )
    lines = total if shown == ALL else of_kind(budget, shown)
    st.plotly_chart(
        figures.budget_seasons(lines, settings.currency, priced=priced),
        config=frame.CHART,
        key="seasons chart",
    )
    st.caption(words.PLANNED)
    frame.not_an_inspection()
    orders(budget, season, settings)
    quantities(budget, shown, settings, priced=priced)
    if priced:
        one_total(budget, settings)
    with st.container(horizontal=True):
        frame.download("Budget as CSV", budget.lines, settings, "budget.csv")
        frame.download("Order list as CSV", budget.spares, settings, "spares.csv")
    frame.cautions()
    frame.assumptions(settings, money_too=True)


def of_kind(budget: Budget, kind: str) -> pd.DataFrame:
    kinds = budget.kinds()
    return kinds[kinds["kind"] == kind].reset_index(drop=True)


def orders(budget: Budget, season: Season, settings: Settings) -> None:
    st.subheader(f"What to order for season {season.year}")
    st.dataframe(
        tables.orders(budget.spares, settings),
        column_config=tables.ORDER_COLUMNS,
        hide_index=True,
        height=frame.rows(len(budget.spares), 13),
    )
    st.caption(words.order_by(season))


def quantities(budget: Budget, kind: str, settings: Settings, *, priced: bool) -> None:
    st.subheader("Season by season")
    years = list(budget.lines["season"].unique())
    season_box, detail_box = st.columns(2)
    year = season_box.selectbox("Season", ["all", *years], key="budget season")
    detail = detail_box.checkbox("A line for each part number", key="budget detail")
    lines = budget.lines
    if kind != ALL:
        lines = lines[lines["kind"] == kind]
    if year != "all":
        lines = lines[lines["season"] == year]
    if not detail:
        lines = lines[lines["part_no"] == ALL]
    st.dataframe(
        tables.budget(lines, settings, priced=priced, detail=detail),
        column_config=tables.budget_columns(settings.currency),
        hide_index=True,
    )


def one_total(budget: Budget, settings: Settings) -> None:
    st.subheader("How far a season's total may be off")
    total = budget.fleet()
    at = st.selectbox(
        "Season",
        range(len(total)),
        format_func=lambda i: str(total["season"].iloc[i]),
        key="total of season",
    )
    st.plotly_chart(
        figures.budget_total(budget.totals[:, at], total.iloc[at], settings.currency),
        config=frame.CHART,
        key="total chart",
    )


frame.page(frame.PAGES["views/budget.py"], words.BUDGET_LEAD, show)
