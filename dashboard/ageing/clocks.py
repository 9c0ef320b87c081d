"""Which clock ages a kind, years or shaft hours, and how well its hours are known."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from analytics.ageing.clock_choice import ClockChoice
from analytics.ageing.clock_tables import ages_table, clocks_table, lines_table
from analytics.ageing.hours_known import hours_known_table
from analytics.lives import Lives
from analytics.outlook.hours_to_come import usual_hours_table
from analytics.records.settings import Settings
from dashboard import frame, results, tables
from dashboard.ageing import clocks_figures as figures
from dashboard.ageing import clocks_words as words
from dashboard.results import Asked, Chosen


def show(asked: Asked, chosen: Chosen) -> None:
    """The verdict in words, both ages of every life, the scores, and the bounds of the hours."""
    lives = results.fleet(asked).lives
    choice = results.clocks(asked, chosen)
    named = [one for one in (chosen.kind, chosen.group, chosen.value) if one and one != "all"]
    _verdict(choice, lives.settings, named)
    _hours(lives, results.kind(asked, chosen).table, named)


def _verdict(choice: ClockChoice, settings: Settings, named: list[str]) -> None:
    st.subheader(words.HEADING)
    st.markdown(words.verdict(choice))
    if choice.warning:
        st.warning(choice.warning)
    st.markdown(words.in_force(choice))
    if choice.years is None:
        return
    ages = ages_table(choice)
    st.markdown(f"{words.judged(choice)} {words.alike(ages)}")
    st.plotly_chart(figures.both_clocks(choice, ages), config=frame.CHART, key="clocks chart")
    st.caption(words.PICTURE)
    scores = clocks_table(choice)
    st.subheader(words.SCORES)
    st.table(_scores(scores).set_index("Clock"))
    st.caption(f"{words.METHOD} {words.ROUGH}")
    with st.container(horizontal=True):
        frame.download(
            "Scores of both clocks as CSV", scores, settings, "clocks.csv", filters=named
        )
        frame.download(
            "Scores by shaft line as CSV",
            lines_table(choice),
            settings,
            "clocks_by_line.csv",
            filters=named,
        )
        frame.download(
            "Ages on both clocks as CSV", ages, settings, "ages_on_both_clocks.csv", filters=named
        )


def _hours(lives: Lives, table: pd.DataFrame, named: list[str]) -> None:
    st.subheader(words.HOURS)
    known = hours_known_table(lives, table)
    st.markdown("\n".join(f"- {one}" for one in words.hours_known(known)))
    shown = _lives(known)
    st.dataframe(
        tables.shown(shown, dict.fromkeys(shown.columns[4:7], "{:,.0f}".format)),
        hide_index=True,
        height=frame.rows(len(shown), most=8),
    )
    st.caption(words.HOURS_CAPTION)
    frame.download(
        "Hours of these lives as CSV", known, lives.settings, "hours_of_lives.csv", filters=named
    )
    st.subheader(words.COMING)
    usual = usual_hours_table(lives.usage)
    of_lines = table[["boat", "position"]].drop_duplicates()
    usual = usual.merge(of_lines, on=["boat", "position"])
    boats = _boats(usual)
    st.dataframe(
        tables.shown(boats, dict.fromkeys(boats.columns[2:4], "{:,.0f}".format)),
        hide_index=True,
        height=frame.rows(len(boats), most=8),
    )
    st.caption(words.COMING_CAPTION)
    frame.download("Hours a year as CSV", usual, lives.settings, "usual_hours.csv", filters=named)


def _scores(scores: pd.DataFrame) -> pd.DataFrame:
    """Both clocks side by side, as texts."""
    best = scores["score"].max()
    half = [
        f"{age:,.1f} years" if clock == "years" else f"{age:,.0f} shaft hours"
        for age, clock in zip(scores["half_worn_out"], scores["clock"], strict=True)
    ]
    return pd.DataFrame(
        {
            "Clock": scores["clock"].map(words.CLOCKS),
            "Predictive score": scores["score"].map("{:,.1f}".format),
            "Behind the better by": [
                "" if score == best else f"{best - score:.1f} (standard error {error:.1f})"
                for score, error in zip(scores["score"], scores["lead_error"], strict=True)
            ],
            "Half worn out by, roughly": half,
            "In use on the pages": tables.yes(scores["as_set"]),
        }
    )


def _lives(known: pd.DataFrame) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "Boat": known["boat"],
            "Shaft": known["position"],
            "Fitted": _days(known["start_lo"], known["start_hi"]),
            "Ended or last watched": _days(known["end_lo"], known["end_hi"]),
            "Shaft hours": known["hours"],
            "At least": known["hours_low"],
            "At most": known["hours_high"],
            "Where from": known["known"],
        }
    )


def _days(low: pd.Series, high: pd.Series) -> list[str]:
    return [
        f"{first:%Y-%m-%d}" if first == last else f"{first:%Y-%m-%d} to {last:%Y-%m-%d}"
        for first, last in zip(low, high, strict=True)
    ]


def _boats(usual: pd.DataFrame) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "Boat": usual["boat"],
            "Shaft": usual["position"],
            "Hours a year so far": usual["hours_a_year"],
            "Hours expected": usual["hours_expected"],
            "90 % of coming years": [
                f"{low:,.0f} to {high:,.0f}"
                for low, high in zip(usual["expected_low"], usual["expected_high"], strict=True)
            ],
            "Known from": usual["basis"].map(words.BASIS),
        }
    )
