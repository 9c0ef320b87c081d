"""Every boat and part: sort, filter, look into one, take the tables away."""

import pandas as pd
import streamlit as st

from analytics.decisions.consequence import by_cost
from analytics.outlook.season import SeasonRisk
from analytics.papers import words as shared
from analytics.records.settings import Settings
from dashboard import figures, frame, results, tables, words
from dashboard.results import Asked, Chosen


def show(asked: Asked) -> None:
    fleet = results.fleet(asked)
    settings = fleet.records.settings
    if results.season(asked).boats.empty:
        st.warning(words.NO_PARTS)
        return
    frame.not_an_inspection()
    base_box, kind_box, risk_box, order_box = st.columns([3, 3, 2, 3])
    everywhere = results.season(asked)
    bases = base_box.multiselect(
        "Base",
        sorted(name for name in everywhere.boats["base"].unique() if name),
        placeholder="all",
        key="bases",
    )
    kinds = kind_box.multiselect(
        "Count only",
        sorted(everywhere.parts["kind"].unique()),
        format_func=lambda name: settings.kind(name).label,
        placeholder="all kinds of parts",
        help=words.KINDS_HELP,
        key="kinds",
    )
    least = risk_box.number_input("Risk at least, %", 0, 100, 0, step=5, key="least")
    order = order_box.radio(
        "Order",
        [words.BY_RISK, words.BY_COST],
        horizontal=True,
        help=words.ORDER_HELP,
        key="boats order",
    )
    risk = results.season(asked, tuple(kinds))
    boats = by_cost(risk.boats) if order == words.BY_COST else risk.boats
    chosen = boats[
        (boats["risk"] * 100 >= least) & boats["base"].isin(bases or boats["base"])
    ].reset_index(drop=True)
    st.markdown(f"**{len(chosen)} of {len(boats)} boats.** {words.PICK_A_BOAT}")
    if chosen.empty:
        st.info(words.NO_BOAT)
        return
    names = list(chosen["boat"])
    st.dataframe(
        tables.boats(chosen, settings, order == words.BY_COST),
        column_config=tables.boats_columns(settings),
        hide_index=True,
        on_select=lambda: picked(names),
        selection_mode="single-row",
        key="boats table",
    )
    st.caption(words.before(risk.season, fleet.records.as_of))
    frame.without_prices(fleet.records)
    with st.container(horizontal=True):
        frame.download("Boats as CSV", chosen, settings, "boats_at_risk.csv")
        frame.download(
            "Parts as CSV",
            risk.parts[risk.parts["boat"].isin(names)],
            settings,
            "season.csv",
        )
    if st.session_state.get("boat") not in names:
        st.session_state["boat"] = names[0]
    boat = st.selectbox("Look into a boat", names, key="boat")
    one_boat(asked, risk, boat, settings)
    frame.cautions()
    frame.assumptions(settings, money_too=True)


def picked(names: list[str]) -> None:
    """A row chosen in the table becomes the boat looked into."""
    rows = st.session_state["boats table"]["selection"]["rows"]
    if rows and rows[0] < len(names):
        st.session_state["boat"] = names[rows[0]]


def one_boat(asked: Asked, risk: SeasonRisk, boat: str, settings: Settings) -> None:
    parts = risk.parts[risk.parts["boat"] == boat].sort_values(
        "risk", ascending=False, ignore_index=True
    )
    st.subheader(f"{words.plain(boat)}: parts in service")
    st.dataframe(
        tables.parts(parts, settings),
        column_config=tables.PARTS_COLUMNS,
        hide_index=True,
        height=frame.rows(len(parts)),
    )
    st.caption(words.CONSEQUENCE)
    labels = [
        words.part(settings.kind(kind), position)
        for kind, position in zip(parts["kind"], parts["position"], strict=True)
    ]
    at = st.selectbox(
        "Look into a part",
        range(len(parts)),
        format_func=lambda i: labels[i],
        key=f"part of {boat}",
    )
    one_part(asked, parts.iloc[at], settings)


def one_part(asked: Asked, row: pd.Series, settings: Settings) -> None:
    chosen = Chosen(row["kind"], row["group"])
    fitted, curves = results.kind(asked, chosen), results.curves(asked, chosen)
    prior_only = fitted.rests_on_prior
    st.markdown(f"{words.one_part(row, fitted.kind)} {shared.how_sure(fitted)}")
    figure = figures.survival(
        curves.prior if prior_only else curves.fitted,
        curves.records,
        fitted.kind,
        oldest=curves.oldest,
        furthest=curves.furthest,
        units_per_year=fitted.units_per_year,
        ticks=curves.ticks,
        watched=curves.watched,
        youngest=curves.youngest,
        prior=prior_only,
    )
    st.plotly_chart(
        figures.mark_part(figure, row["age_low"], row["age_high"]),
        config=frame.CHART,
        key="part chart",
    )
    st.caption(words.evidence(row))


frame.page(frame.PAGES["views/boats.py"], words.BOATS_LEAD, show)
