"""What the coming seasons need: money, quantities, and what to order by when."""

import pandas as pd
import streamlit as st

from analytics.decisions.budget import ALL, Budget
from analytics.job import Fleet
from analytics.records.settings import Settings
from dashboard import budget_tables as tables
from dashboard import budget_words as says
from dashboard import choices, figures, frame, results, words
from dashboard.results import Asked


def show(asked: Asked) -> None:
    fleet, budget = results.fleet(asked), results.budget(asked)
    settings = fleet.records.settings
    if budget.spares.empty:
        st.warning(words.NO_PARTS)
        return
    season, total = fleet.coming_season(), budget.fleet()
    first = total.iloc[0]
    priced = bool(total["cost_mean"].notna().any())
    if priced:
        st.subheader(says.first_season(first, season, settings.currency))
        st.caption(says.scope(season, budget.period))
        split(first, settings.currency)
        if budget.unpriced:
            st.warning(says.unpriced(budget.unpriced))
    else:
        st.subheader(says.first_quantities(first, season))
        st.caption(says.scope(season, budget.period))
        st.info(says.NO_PRICES)
    frame.not_an_inspection()
    orders(fleet, budget)
    st.subheader("Season by season")
    kind = kind_shown(budget, settings)
    lines = total if kind == ALL else of_kind(budget, kind)
    in_money = bool(lines["cost_mean"].notna().any())
    if priced and not in_money:
        st.info(says.KIND_NOT_PRICED)
    st.plotly_chart(
        figures.budget_seasons(lines, settings.currency, priced=in_money),
        config=frame.CHART,
        key="seasons chart",
    )
    st.caption(f"{says.PLANNED} {says.P_WORDS}")
    quantities(budget, kind, settings, priced=priced)
    if priced:
        one_total(budget, settings)
    with st.container(horizontal=True):
        year = season.year
        frame.download("Budget as CSV", budget.lines, settings, "budget.csv", season=year)
        frame.download("Order list as CSV", budget.spares, settings, "spares.csv", season=year)
    frame.cautions()
    frame.assumptions(settings, results.ageing(asked), money_too=True)


def split(first: pd.Series, currency: str) -> None:
    """What the first season's money is for, and how firm each piece is."""
    with st.container(horizontal=True):
        for label, column, help in says.PIECES:
            shown = says.piece(first[column], currency)
            st.metric(label, shown, help=help, width=says.WIDTH)


def kind_shown(budget: Budget, settings: Settings) -> str:
    kinds = [ALL, *budget.kinds()["kind"].unique()]
    choices.only("budget kind", kinds)
    shown: str = st.selectbox(
        "For",
        kinds,
        format_func=lambda name: "the whole fleet" if name == ALL else settings.kind(name).label,
        key="budget kind",
    )
    return shown


def of_kind(budget: Budget, kind: str) -> pd.DataFrame:
    kinds = budget.kinds()
    return kinds[kinds["kind"] == kind].reset_index(drop=True)


def orders(fleet: Fleet, budget: Budget) -> None:
    season, records = fleet.coming_season(), fleet.records
    st.subheader(f"What to order for season {season.year}")
    if late := says.late(budget.spares):
        st.markdown(late)
    st.dataframe(
        tables.orders(budget.spares, records.settings),
        column_config=tables.orders_columns(records.settings.currency),
        hide_index=True,
        height=frame.rows(len(budget.spares), 60),
    )
    st.caption(says.order_by(budget.spares, season, records.as_of))


def quantities(budget: Budget, kind: str, settings: Settings, *, priced: bool) -> None:
    years = ["all", *budget.lines["season"].unique()]
    season_box, detail_box = st.columns(2, vertical_alignment="bottom")
    choices.only("budget season", years)
    year = season_box.selectbox("Season", years, key="budget season")
    detail = detail_box.checkbox("A line for each part number", key="budget detail")
    lines = budget.lines
    if kind != ALL:
        lines = lines[lines["kind"] == kind]
    if year != "all":
        lines = lines[lines["season"] == year]
    if not detail:
        lines = lines[lines["part_no"] == ALL]
    if priced:
        st.markdown(f"**Money, {words.plain(settings.currency)}**")
        st.dataframe(
            tables.money(lines, settings, detail=detail),
            column_config=tables.MONEY_COLUMNS,
            hide_index=True,
            height=frame.rows(len(lines), 40),
        )
    st.markdown("**Numbers of parts**")
    st.dataframe(
        tables.quantities(lines, settings, detail=detail),
        column_config=tables.QUANTITY_COLUMNS,
        hide_index=True,
        height=frame.rows(len(lines), 40),
    )


def one_total(budget: Budget, settings: Settings) -> None:
    st.subheader("How far a season's total may be off")
    total = budget.fleet()
    choices.only("total of season", range(len(total)))
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
