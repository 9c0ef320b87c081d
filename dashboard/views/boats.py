"""Every boat and part: sort, filter, look into one, take the tables away."""

import pandas as pd
import streamlit as st

from analytics.outlook.season import SeasonRisk
from analytics.papers import words as shared
from analytics.records.settings import Settings
from dashboard import boats_order, choices, figures, frame, results, risk_tables, with_this, words
from dashboard import fleet_words as of_fleet
from dashboard import risk_words as says
from dashboard.ageing.curves_words import TYPICAL_AND_MIX
from dashboard.results import Asked, Chosen


def show(asked: Asked) -> None:
    fleet, everywhere = results.fleet(asked), results.season(asked)
    settings = fleet.records.settings
    if everywhere.boats.empty:
        st.warning(words.NO_PARTS)
        return
    if everywhere.season != fleet.coming_season():
        st.warning(says.LATER_SEASON)
    frame.not_an_inspection()
    bases, kinds, least, order = choice(everywhere, settings)
    risk = results.season(asked, tuple(kinds))
    of_bases = risk.boats[risk.boats["base"].isin(bases or risk.boats["base"])]
    chosen = of_bases[of_bases["risk"] * 100 >= least]
    chosen = boats_order.in_order(chosen, risk.parts, order)
    left = says.boats_left(
        len(chosen), len(everywhere.boats), bases, kinds=bool(kinds), least=least
    )
    st.markdown(f"**{left}**")
    if chosen.empty:
        st.info(says.no_boat(of_bases, kinds=bool(kinds), least=least))
        return
    st.markdown(says.PICK_A_BOAT)
    names = list(chosen["boat"])
    st.dataframe(
        risk_tables.boats(chosen, settings, order),
        column_config=risk_tables.boats_columns(settings),
        hide_index=True,
        on_select=lambda: picked(names),
        selection_mode="single-row",
        key="boats table",
    )
    st.caption(says.before(risk.season, fleet.records.as_of, risk.parts, settings))
    costly = order == says.BY_COST
    worst = risk_tables.worst_of(risk, costly=costly)
    among = of_fleet.among_reading(worst, costly=costly)
    if order == says.BY_SEASONS_END:
        among = says.WORN_READING
    st.caption(f"{among} {of_fleet.SOUND_WHEN_SEEN}")
    frame.without_prices(fleet.records)
    filters = [*bases, *kinds, *([f"risk {least}"] if least else [])]
    parts = risk.parts[risk.parts["boat"].isin(names)]
    with st.container(horizontal=True):
        for label, table, file in (
            ("Boats as CSV", chosen[list(risk.boats.columns)], "boats_at_risk.csv"),
            ("Parts as CSV", parts, "season.csv"),
        ):
            frame.download(
                label, table, settings, file,
                season=risk.season.year, filters=filters, counted=kinds,
            )  # fmt: skip
    choices.only("boat", names)
    boat = st.selectbox("Look into a boat", names, key="boat")
    one_boat(asked, risk, boat, tuple(kinds), settings)
    frame.cautions()
    frame.assumptions(settings, results.ageing(asked), money_too=True)


def choice(everywhere: SeasonRisk, settings: Settings) -> tuple[list[str], list[str], int, str]:
    """Bases, kinds counted, least risk in hundredths, and the order."""
    base_box, kind_box, risk_box, order_box = st.columns([3, 3, 2, 3])
    bases = sorted(name for name in everywhere.boats["base"].unique() if name)
    kinds = sorted(everywhere.parts["kind"].unique())
    choices.only("bases", bases)
    choices.only("kinds", kinds)
    chosen_bases = base_box.multiselect("Base", bases, placeholder="all", key="bases")
    chosen_kinds = kind_box.multiselect(
        "Count only",
        kinds,
        format_func=lambda name: settings.kind(name).label,
        placeholder="all kinds of parts",
        help=says.KINDS_HELP,
        key="kinds",
    )
    least = risk_box.number_input("Risk at least, %", 0, 100, step=5, key="least")
    order = order_box.radio(
        "Order",
        says.ORDERS,
        horizontal=True,
        help=says.ORDER_HELP,
        key="boats order",
    )
    return chosen_bases, chosen_kinds, least, order


def picked(names: list[str]) -> None:
    """A row chosen in the table becomes the boat looked into."""
    rows = st.session_state["boats table"]["selection"]["rows"]
    if rows and rows[0] < len(names):
        st.session_state["boat"] = names[rows[0]]


def one_boat(
    asked: Asked, risk: SeasonRisk, boat: str, kinds: tuple[str, ...], settings: Settings
) -> None:
    parts = risk.parts[risk.parts["boat"] == boat].sort_values(
        "risk", ascending=False, ignore_index=True
    )
    st.subheader(f"{words.plain(boat)}: parts in service")
    st.dataframe(
        risk_tables.parts(parts, settings, results.fleet(asked).records.as_of),
        column_config=risk_tables.PARTS_COLUMNS,
        hide_index=True,
        height=frame.rows(len(parts)),
    )
    st.caption(" ".join(filter(None, [says.CONSEQUENCE, of_fleet.damage(settings, parts)])))
    with st.expander("The same parts: risk by cause, last known sound, how sure, source"):
        st.dataframe(
            risk_tables.causes(parts, settings), hide_index=True, height=frame.rows(len(parts))
        )
    labels = risk_tables.part_names(parts, settings)
    choices.only(f"part of {boat}", range(len(parts)))
    at = st.selectbox(
        "Look into a part",
        range(len(parts)),
        format_func=lambda i: labels[i],
        key=f"part of {boat}",
    )
    with_this.show(asked, risk, parts.iloc[at], kinds, settings)
    st.subheader(says.age_title(labels[at]))
    one_part(asked, parts.iloc[at])


def one_part(asked: Asked, row: pd.Series) -> None:
    chosen = Chosen(row["kind"], row["group"])
    fitted = results.kind(asked, chosen)
    age = (row["age_low"] + row["age_high"]) / 2
    curves = results.curves(asked, chosen, up_to=row["age_high"] * 1.05)
    prior_only = fitted.rests_on_prior
    of_that_age = results.of_that_age(asked, chosen, age)
    as_of = results.fleet(asked).records.as_of
    st.markdown(f"{says.one_part(row, fitted, of_that_age)} {of_fleet.sound(row, as_of)}")
    st.markdown(shared.how_sure(fitted))
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
        mix=curves.mix,
    )
    st.plotly_chart(
        figures.mark_part(figure, row["age_low"], row["age_high"]),
        config=frame.CHART,
        key="part chart",
    )
    if curves.mix is not None:
        st.caption(TYPICAL_AND_MIX)
    alone = results.one_base(asked, chosen, row["base"])
    st.caption(" ".join([says.evidence(row), says.one_base(row["base"], *alone) if alone else ""]))


frame.page(frame.PAGES["views/boats.py"], words.BOATS_LEAD, show)
