"""Which boats, and how sure: the page that opens first."""

import pandas as pd
import streamlit as st

from analytics.decisions.consequence import by_cost
from analytics.records.settings import Settings
from dashboard import figures, frame, results, tables, words
from dashboard.results import Asked


def show(asked: Asked) -> None:
    fleet, risk = results.fleet(asked), results.season(asked)
    settings = fleet.records.settings
    if risk.boats.empty:
        st.warning(words.NO_PARTS)
        st.caption(fleet.reconciliation())
        return
    st.subheader(words.headline(risk, fleet.records.as_of))
    st.markdown(f"{words.behind(risk)} {words.standing_out(risk.boats)}")
    frame.not_an_inspection()
    order = st.radio(
        "The boats highest",
        [words.BY_RISK, words.BY_COST],
        horizontal=True,
        help=words.ORDER_HELP,
        key="order",
    )
    costly = order == words.BY_COST
    highest = (by_cost(risk.boats) if costly else risk.boats).head(figures.TOP)
    drawn, beside = st.columns([3, 2], gap="large")
    with drawn:
        st.plotly_chart(
            figures.boats(
                highest,
                tables.contributors(highest, settings, costly),
                by_cost=costly,
                currency=settings.currency,
            ),
            config=frame.CHART,
            key="boats chart",
        )
        st.caption(words.BOATS_CAPTION)
    with beside:
        st.markdown("**How sure**")
        st.markdown(tables.how_sure(results.ageing(asked), settings))
        past_limit(risk.parts, fleet.records.settings)
    st.markdown("**The same boats as a table**")
    st.dataframe(
        tables.boats(highest, settings, costly),
        column_config=tables.boats_columns(settings),
        hide_index=True,
        height=frame.rows(len(highest)),
    )
    st.caption(words.before(risk.season, fleet.records.as_of))
    frame.without_prices(fleet.records)
    frame.cautions()
    frame.assumptions(settings, money_too=True)
    st.caption(fleet.reconciliation())


def past_limit(parts: pd.DataFrame, settings: Settings) -> None:
    st.markdown(f"**{words.past_limit(parts)}**")
    if parts["past_limit"].any():
        with st.expander("Which parts"):
            st.dataframe(
                tables.past_limit(parts, settings),
                column_config=tables.PARTS_COLUMNS,
                hide_index=True,
            )


frame.page(frame.PAGES["views/season.py"], words.SEASON_LEAD, show)
