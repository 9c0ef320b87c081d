"""Which boats, and how sure: the page that opens first."""

import pandas as pd
import streamlit as st

from analytics.job import Fleet
from analytics.outlook.season import SeasonRisk
from analytics.papers import words as shared
from analytics.papers.season_counts import bridge
from analytics.records.settings import Settings
from analytics.records.tables import PRICES
from dashboard import boats_order, choices, figures, frame, results, risk_tables, words
from dashboard import fleet_words as of_fleet
from dashboard import risk_words as says
from dashboard.results import Asked


def show(asked: Asked) -> None:
    fleet, risk = results.fleet(asked), results.season(asked)
    settings, as_of = fleet.records.settings, fleet.records.as_of
    if results.as_of_assumed(fleet):
        st.info(says.records_end(as_of))
    if risk.boats.empty:
        st.warning(words.NO_PARTS)
        st.caption(words.plain(fleet.reconciliation()))
        return
    if risk.season != fleet.coming_season():
        st.warning(says.LATER_SEASON)
    order = st.session_state.get("order", says.BY_RISK)
    costly, by_end = order == says.BY_COST, order == says.BY_SEASONS_END
    ordered = boats_order.in_order(risk.boats, risk.parts, order)
    if missing := shared.without_reason(fleet.lives.table):
        st.error(missing)
    st.subheader(says.headline(risk, as_of))
    st.markdown(words.plain(bridge(risk, settings)))
    if besides := says.besides(risk, as_of):
        st.markdown(besides)
    priced = not fleet.records.tables[PRICES.file].empty
    lost = of_fleet.lost(risk, settings.currency, priced=priced)
    st.markdown(f"{says.behind(risk)} {lost}")
    st.markdown(_highest(ordered, order, settings.currency))
    worst = risk_tables.worst_of(risk, costly=costly)
    if not by_end and (firm := of_fleet.among(ordered, worst, costly=costly)):
        st.markdown(firm)
    if worn := shared.likely_worn(risk.parts):
        st.markdown(f"**{words.plain(worn)}** {says.WORN_BELONG}")
    frame.not_an_inspection()
    st.radio(
        "The boats highest",
        says.ORDERS,
        horizontal=True,
        help=says.ORDER_HELP,
        key="order",
    )
    highest = ordered.head(figures.TOP)
    drawn, beside = st.columns([3, 2], gap="large")
    with drawn:
        st.plotly_chart(
            boats_order.drawn(
                highest,
                risk_tables.contributors(highest, settings, order),
                order,
                settings.currency,
            ),
            config=frame.CHART,
            key="boats chart",
        )
        st.caption(says.boats_caption(order))
    with beside:
        st.markdown("**How sure**")
        st.markdown(says.how_sure(results.ageing(asked), settings))
    st.markdown(f"**The same boats as a table.** {says.OPEN_A_BOAT}")
    ticked = st.dataframe(
        risk_tables.boats(highest, settings, order),
        column_config=risk_tables.boats_columns(settings),
        hide_index=True,
        height=frame.rows(len(highest)),
        on_select="rerun",
        selection_mode="single-row",
        key="highest",
    )
    if rows := ticked["selection"]["rows"]:
        choices.look_into(highest["boat"].iloc[rows[0]])
        st.switch_page("views/boats.py")
    st.caption(says.before(risk.season, as_of, risk.parts, settings))
    among = says.WORN_READING if by_end else of_fleet.among_reading(worst, costly=costly)
    st.caption(f"{among} {of_fleet.SOUND_WHEN_SEEN}")
    frame.without_prices(fleet.records)
    if water := of_fleet.damage(settings, risk.parts):
        st.info(water)
    by_base(risk, settings)
    past_limit(fleet, risk)
    frame.cautions()
    frame.assumptions(settings, results.ageing(asked), money_too=True)
    st.caption(words.plain(fleet.reconciliation()))


def _highest(ordered: pd.DataFrame, order: str, currency: str) -> str:
    if order == says.BY_SEASONS_END:
        return says.highest_by_end(ordered)
    return (
        says.costliest(ordered, currency) if order == says.BY_COST else says.standing_out(ordered)
    )


def by_base(risk: SeasonRisk, settings: Settings) -> None:
    st.subheader("By base")
    table = risk_tables.several_bases(risk.bases)
    st.dataframe(
        risk_tables.bases(table, settings),
        column_config=risk_tables.BASES_COLUMNS,
        hide_index=True,
        height=frame.rows(len(table), 12),
    )
    st.caption(of_fleet.BASES_READING)
    frame.download("Bases as CSV", risk.bases, settings, "bases.csv", season=risk.season.year)


def past_limit(fleet: Fleet, risk: SeasonRisk) -> None:
    settings = fleet.records.settings
    st.subheader("Parts past their limit")
    st.markdown(f"**{says.past_limit(risk.parts, risk.season, fleet.records.as_of)}**")
    near = risk_tables.near_limit(risk.parts)
    if near.empty:
        return
    st.dataframe(
        risk_tables.past_limit(near, settings, fleet.records.as_of),
        column_config=risk_tables.PARTS_COLUMNS,
        hide_index=True,
        height=frame.rows(len(near), 12),
    )
    frame.download("These parts as CSV", near, settings, "past_limit.csv", season=risk.season.year)


frame.page(frame.PAGES["views/season.py"], words.SEASON_LEAD, show)
