"""What the coming seasons need: committed, forecast and contingency, by whatever one asks for."""

import pandas as pd
import streamlit as st

from analytics.decisions.budget import ALL, Budget
from analytics.job import Fleet
from analytics.papers import budget_sentences as shared
from analytics.papers import words as papers
from analytics.papers.budget_workbook import budget_workbook
from analytics.records.settings import Settings
from dashboard import budget_figures as figures
from dashboard import budget_tables as tables
from dashboard import budget_words as says
from dashboard import choices, frame, results, words
from dashboard.results import Asked


def show(asked: Asked) -> None:
    fleet, budget = results.fleet(asked), results.budget(asked)
    settings = fleet.records.settings
    if budget.part_numbers().empty:
        st.warning(words.NO_PARTS)
        return
    season, total = fleet.coming_season(), budget.fleet()
    priced = bool(total["cost_mean"].notna().any())
    if priced:
        st.subheader(shared.headline(total.iloc[0], settings.currency))
        st.markdown(words.plain(shared.added_up(total.iloc[0], settings.currency)))
        pieces(budget, settings.currency)
        if of_all := shared.together(budget, settings.currency):
            st.markdown(of_all)
        scope = shared.scope(budget)
        st.caption(f"{scope} {words.plain(papers.price_basis(settings))}")
        if budget.unpriced:
            st.warning(says.unpriced(budget.unpriced))
    else:
        st.subheader(says.first_quantities(total.iloc[0], season))
        st.caption(shared.scope(budget))
        st.info(says.NO_PRICES)
    if of_limits := beside_the_limits(asked, fleet, budget):
        st.caption(of_limits)
    frame.not_an_inspection()
    files(asked, fleet, budget)
    st.page_link("views/spares.py", label=says.TO_SPARES)
    season_by_season(budget, settings, priced=priced)
    one_season(budget, settings, priced=priced)
    frame.cautions()
    frame.assumptions(settings, results.ageing(asked), money_too=True)


def pieces(budget: Budget, currency: str) -> None:
    """Committed, contingency and forecast of the first season, a sentence each."""
    made = shared.pieces(budget, currency)
    for box, piece in zip(st.columns(len(made), gap="medium"), made, strict=True):
        box.metric(piece.label, papers.money(piece.amount, currency))
        box.markdown(piece.sentence)


def beside_the_limits(asked: Asked, fleet: Fleet, budget: Budget) -> str:
    """Why the page of the season counts other parts; nothing where its lift is not ahead."""
    risk = results.season(asked)
    same = risk.season.year == budget.seasons[0].year
    if not same or not risk.season.lift_after(fleet.records.as_of):
        return ""
    past = risk.parts["past_limit"].astype(bool) | risk.parts["past_limit_at_lift"].astype(bool)
    return shared.beside_the_limits(int(past.sum()), float(budget.fleet()["planned"].iloc[0]))


def files(asked: Asked, fleet: Fleet, budget: Budget) -> None:
    """Everything to take along."""
    settings, year = fleet.records.settings, budget.seasons[0].year

    def workbook() -> bytes:
        return budget_workbook(
            budget,
            settings,
            assumptions=papers.assumptions(settings, ageing, money_too=True),
            seed=asked.seed,
            fingerprint=fleet.records.fingerprint,
        )

    ageing = results.ageing(asked)
    with st.container(horizontal=True):
        st.download_button(
            "Budget as a workbook (XLSX)",
            workbook,
            f"budget_{year}.xlsx",
            "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            key="download workbook",
            on_click="ignore",
        )
        frame.download("Budget as CSV", budget.lines, settings, "budget.csv", season=year)


def season_by_season(budget: Budget, settings: Settings, *, priced: bool) -> None:
    st.subheader("Season by season")
    kind = kind_shown(budget, settings)
    kinds = budget.kinds()
    lines = budget.fleet() if kind == ALL else kinds[kinds["kind"] == kind].reset_index(drop=True)
    in_money = bool(lines["cost_mean"].notna().any())
    if priced and not in_money:
        st.info(says.KIND_NOT_PRICED)
    st.plotly_chart(
        figures.seasons(lines, settings.currency, priced=in_money),
        config=frame.CHART,
        key="seasons chart",
    )
    height = frame.rows(len(lines) + (kind == ALL), 40)
    if in_money:
        st.markdown(f"**Money, {words.plain(settings.currency)}**")
        st.dataframe(
            tables.seasons_money(budget, lines, kind),
            column_config=tables.MONEY_COLUMNS,
            hide_index=True,
            height=height,
        )
        st.caption(f"{says.CONTINGENCY} {says.P_WORDS} {says.LUCK if kind == ALL else ''}")
    st.markdown("**Numbers of parts**")
    st.dataframe(
        tables.seasons_quantities(budget, lines, kind),
        column_config=tables.QUANTITY_COLUMNS,
        hide_index=True,
        height=height,
    )
    st.caption(says.PLANNED)


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


def one_season(budget: Budget, settings: Settings, *, priced: bool) -> None:
    st.subheader("One season, taken apart")
    years = [season.year for season in budget.seasons]
    choices.only("budget season", years)
    year: int = st.selectbox("Season", years, key="budget season")
    at = years.index(year)
    if priced:
        st.markdown("**How far its total may be off**")
        st.plotly_chart(
            figures.total(budget.totals[:, at], budget.fleet().iloc[at], settings.currency),
            config=frame.CHART,
            key="total chart",
        )
        st.markdown(shared.spread_sentence(budget.spreads[at]))
        st.caption(says.DISTRIBUTION)
    st.markdown("**Month by month**")
    months = budget.months[budget.months["season"] == year]
    st.plotly_chart(
        figures.months(months, settings.currency, priced=priced),
        config=frame.CHART,
        key="months chart",
    )
    st.caption(says.MONTHS)
    by_what(budget, settings, year, priced=priced)


def by_what(budget: Budget, settings: Settings, year: int, *, priced: bool) -> None:
    """The season's lines by kind, part number, size, base, month or boat."""
    choices.only("budget by", tables.VIEWS)
    view: str = st.radio("By", tables.VIEWS, horizontal=True, key="budget by")
    lines = tables.viewed(budget, view, year, settings)
    height = frame.rows(len(lines), 20)
    if priced:
        st.markdown(f"**Money, {words.plain(settings.currency)}**")
        st.dataframe(
            tables.money(lines, view),
            column_config=tables.MONEY_COLUMNS,
            hide_index=True,
            height=height,
        )
    st.markdown("**Numbers of parts**")
    st.dataframe(
        tables.quantities(lines, view),
        column_config=tables.QUANTITY_COLUMNS,
        hide_index=True,
        height=height,
    )
    if view == "Boat":
        st.caption(says.BOATS)
    if (file := says.view_file(view)) != "budget.csv":
        table: pd.DataFrame = getattr(budget, file.removeprefix("budget_").removesuffix(".csv"))
        frame.download(f"By {view.lower()} as CSV", table, settings, file)


frame.page(frame.PAGES["views/budget.py"], words.BUDGET_LEAD, show)
