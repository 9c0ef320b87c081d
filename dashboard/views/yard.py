"""Which boat to haul out in which week, and which jobs to do together."""

import pandas as pd
import streamlit as st

from analytics.decisions.haul_outs import HaulOuts
from analytics.decisions.yard_compared import Compared
from analytics.papers import yard_sentences as shared
from analytics.papers.yard_tables import compared_table
from analytics.records.settings import Settings
from analytics.records.wishes import wishes_text
from dashboard import choices, frame, results, words
from dashboard.results import Asked, YardAnswer
from dashboard.yard import deciding, figures, tables
from dashboard.yard import words as says

# Names would run into each other on a narrow screen: the picture keeps its width and moves.
_WIDE = """<style>
.st-key-yard_calendar { overflow-x: auto; }
.st-key-yard_calendar > div { min-width: 62rem; }
.st-key-yard_calendar .js-plotly-plot text { fill: currentColor !important; }
</style>"""


def show(asked: Asked) -> None:
    fleet = results.fleet(asked)
    settings = fleet.records.settings
    if fleet.lives.in_service().empty:
        st.warning(words.NO_PARTS)
        return
    answer = results.haul_outs(asked, deciding.wishes_of(fleet.records))
    found = answer.found
    if not found.problem.boats:
        st.warning(says.NO_BOAT)
        return
    compared = results.yard_compared(asked, answer)
    st.subheader(words.plain(shared.heading(found, answer.boats)))
    in_words(found, answer, compared, settings)
    with st.expander(
        says.DECIDE,
        expanded=not found.made,
        key="yard decide",
    ):
        st.caption(says.DECIDE_NOTE)
        deciding.decide(found, answer.weeks)
        deciding.decided(found.wishes)
    if not found.made:
        frame.cautions()
        return
    what_moved(found)
    st.subheader("The lay-up, week by week")
    st.html(_WIDE)
    with st.container(key="yard_calendar"):
        st.plotly_chart(
            figures.calendar(answer.weeks, answer.boats),
            config=frame.CHART,
            key="yard calendar chart",
        )
    st.caption(f"{says.CALENDAR} {says.NARROW}")
    by_week(answer, settings)
    one_boat(answer, settings)
    beside(compared, settings)
    hand_out(asked, answer, compared, settings)
    with st.expander(says.TAKEN_FOR_GRANTED):
        listed = [words.plain(line) for line in shared.assumed(found, settings)]
        st.markdown("\n".join(f"- {line}" for line in listed))
    frame.cautions()
    frame.assumptions(settings, results.ageing(asked), money_too=True)


def in_words(found: HaulOuts, answer: YardAnswer, compared: Compared, settings: Settings) -> None:
    """What to know, and whatever needs a person before the plan can be used."""
    if not found.made:
        st.error(says.CONTRADICTION)
    bullets([one.text for one in found.plan.conflicts])
    bullets(shared.sentences(found, answer.boats, compared))
    if found.weeks_assumed:
        st.info(words.plain(shared.no_slots(found)))
    if found.parts["part_price"].isna().all():
        st.info(says.NO_PRICES)
    if found.findings:
        st.warning("\n".join(f"- {words.finding(one)}" for one in found.findings))
    if found.plan.to_accept:
        st.markdown(f"**{says.MUST_ACCEPT}**")
        bullets(
            [
                f"{one.boat}, {one.job}: it must be done, because {one.why_must}. {one.because}"
                for one in found.plan.to_accept
            ]
        )
    bullets(
        [
            f"{one.boat}, {one.job}: left undone; {one.accepted_by} accepts that."
            for one in found.plan.waivers
            if one.accepted_by
        ]
    )
    bullets([f"{one.boat} is not lifted. {one.because}" for one in found.plan.left])
    bullets(list(found.plan.questions))
    frame.not_an_inspection()


def bullets(lines: list[str]) -> None:
    if lines:
        st.markdown("\n".join(f"- {words.plain(line)}" for line in lines))


def what_moved(found: HaulOuts) -> None:
    if not found.applied:
        return
    st.subheader("What moved")
    if not found.plan.moves:
        st.markdown(says.NOTHING_MOVED)
        return
    st.markdown(words.plain(says.moved(found)))
    bullets([one.text for one in found.plan.moves])


def by_week(answer: YardAnswer, settings: Settings) -> None:
    st.dataframe(
        tables.boats(answer.boats),
        column_config=tables.BOAT_COLUMNS,
        hide_index=True,
        height=frame.rows(len(answer.boats)),
    )
    st.caption(says.BY_WEEK)
    season = answer.found.season.year
    frame.download("Boats as CSV", answer.boats, settings, "yard.csv", season=season)
    with st.expander("Slots, hours and places of each week"):
        table = tables.weeks(answer.weeks)
        st.dataframe(table, hide_index=True, height=frame.rows(len(table), 24))
        frame.download("Weeks as CSV", answer.weeks, settings, "yard_weeks.csv", season=season)


def one_boat(answer: YardAnswer, settings: Settings) -> None:
    st.subheader("One boat")
    names = sorted(answer.boats["boat"])
    choices.only("yard boat", names)
    boat = st.selectbox("Boat to look at", names, key="yard boat")
    row = answer.boats[answer.boats["boat"] == boat].iloc[0]
    st.markdown(words.plain(told(row)))
    jobs = answer.jobs[answer.jobs["boat"] == boat]
    if jobs.empty:
        st.markdown("No job of hers was weighed: none of her parts has a price or a rule.")
    else:
        st.dataframe(
            tables.jobs(jobs),
            column_config=tables.JOB_COLUMNS,
            hide_index=True,
            height=frame.rows(len(jobs)),
        )
        st.caption(says.BOAT_READING)
    season = answer.found.season.year
    frame.download("All jobs as CSV", answer.jobs, settings, "yard_jobs.csv", season=season)


def told(row: pd.Series) -> str:
    """Her week and why, in a line."""
    if row["week"] is None:
        return f"Not lifted. {row['why']}"
    return (
        f"Week of {says.week(row['week'])}, {row['hours']:g} hours, launch from "
        f"{says.week(row['launch'])}. {row['why']}"
    )


def beside(compared: Compared, settings: Settings) -> None:
    if compared.table.empty:
        return
    st.subheader(says.COMPARED)
    table = compared_table(compared)
    st.dataframe(
        tables.rules(table, settings.currency),
        column_config=tables.RULE_COLUMNS,
        hide_index=True,
        height=frame.rows(len(table)),
    )
    named = [f"“{shared.RULES[rule]}”: {meaning}" for rule, meaning in shared.MEANINGS.items()]
    st.caption("\n\n".join([f"{shared.ACCOUNT} {shared.FAILURES}", *named]))
    st.markdown(f"**{says.SLOT_MORE}**")
    bullets([one.text for one in compared.slots] or [says.NO_SLOT_MORE])
    bullets([one.text for one in compared.second])


def hand_out(asked: Asked, answer: YardAnswer, compared: Compared, settings: Settings) -> None:
    st.subheader("Take it along")
    papers = results.yard_papers(asked, answer, compared)
    kinds = {
        "yard.ics": ("Calendar", "text/calendar"),
        "yard.xlsx": (
            "Workbook",
            "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        ),
        "job_packs.html": ("Job packs to print", "text/html"),
    }
    with st.container(horizontal=True):
        for name, (label, kind) in kinds.items():
            st.download_button(
                label, papers[name], name, kind, on_click="ignore", key=f"yard file {name}"
            )
        st.download_button(
            "Decisions as plan.toml",
            wishes_text(answer.found.wishes),
            "plan.toml",
            "application/toml",
            on_click="ignore",
            key="yard file plan",
        )
        frame.download(
            "Comparison as CSV",
            compared_table(compared),
            settings,
            "yard_compared.csv",
            season=answer.found.season.year,
        )


frame.page(frame.PAGES["views/yard.py"], says.LEAD, show)
