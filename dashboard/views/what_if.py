"""What if: a changed plan beside today's, kept by name, in a file and in a link."""

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from analytics.job import Fleet
from analytics.records.findings import Finding
from analytics.what_if.against import not_possible
from analytics.what_if.changes import Changes
from analytics.what_if.compared import EVERY_SEASON, Compared
from analytics.what_if.measures import ALL, MONEY
from analytics.what_if.sentences import MEASURES, NOTHING, brought, changed, taken_for_granted
from analytics.what_if.text import LINK, changes_text, link_text, read_changes, read_link
from dashboard import choices, frame, results, words
from dashboard.results import Asked
from dashboard.sidebar import PLAN
from dashboard.what_if import figures, form, tables
from dashboard.what_if import words as says

CURRENT, WRONG, READ = "what if current", "what if wrong", "what if read"
KEPT, TIMES = "what if kept", "what if times"


def show(asked: Asked) -> None:
    fleet = results.fleet(asked)
    if fleet.lives.in_service().empty:
        st.warning(words.NO_PARTS)
        return
    from_address(asked, fleet)
    current: Changes | None = st.session_state.get(CURRENT)
    wrong(st.session_state.get(WRONG, []))
    # Under a new name it is closed again: what it brings comes first.
    key = f"what if form {st.session_state.get(TIMES, 0)}"
    with st.expander(says.FORM, expanded=current is None, key=key):
        above, below = st.container(), st.container()
        # What a file says goes into the form before the form is drawn.
        with below:
            from_file(asked, fleet)
        with above:
            submitted = form.show(fleet)
        if submitted is not None:
            take(asked, fleet, *submitted)
            st.rerun()
    if current is None:
        st.info(says.START)
    else:
        answer(asked, fleet, current)
    frame.cautions()
    frame.assumptions(fleet.records.settings, results.ageing(asked), money_too=True)


def from_address(asked: Asked, fleet: Fleet) -> None:
    """Take the changes that the page's address holds, once; else put those at hand into it."""
    before: Changes | None = st.session_state.get(CURRENT)
    # Since they were made, the files of the folder may have changed.
    if before is not None and (findings := not_possible(before, fleet)):
        st.session_state[WRONG] = findings
        del st.session_state[CURRENT]
    link = st.query_params.get(PLAN, "")
    if link and link != st.session_state.get(READ):
        st.session_state[READ] = link
        take(asked, fleet, *read_link(link), of=LINK)
    current: Changes | None = st.session_state.get(CURRENT)
    if current is not None and not link:
        address(current)
    if not form.filled():
        form.fill(current or Changes(), fleet, asked.horizon)


def from_file(asked: Asked, fleet: Fleet) -> None:
    given = st.file_uploader(says.UPLOAD, type=["toml"], help=says.UPLOAD_HELP, key="what if file")
    if given is None or given.file_id == st.session_state.get("what if file read"):
        return
    st.session_state["what if file read"] = given.file_id
    text = given.getvalue().decode("utf-8", errors="replace")
    take(asked, fleet, *read_changes(text, given.name), of=given.name)
    st.rerun()


def take(
    asked: Asked, fleet: Fleet, changes: Changes, findings: list[Finding], of: str = ""
) -> None:
    """Make changes those at hand, where nothing is wrong with them."""
    if of:
        findings = findings or not_possible(changes, fleet, of)
    st.session_state[WRONG] = findings
    if findings:
        return
    # The same view on another day, whatever horizon the sidebar then has.
    changes = replace(changes, seasons_ahead=changes.seasons_ahead or asked.horizon)
    st.session_state[CURRENT] = changes
    st.session_state[TIMES] = st.session_state.get(TIMES, 0) + 1
    if of:
        form.fill(changes, fleet, asked.horizon)
    address(changes)


def address(changes: Changes) -> None:
    """Put changes into the page's address, or take them out where they are too many."""
    st.session_state[READ] = link = link_text(changes)
    if link:
        st.query_params[PLAN] = link
    else:
        st.query_params.pop(PLAN, None)


def wrong(findings: Sequence[Finding]) -> None:
    if findings:
        st.error(says.WRONG)
        st.markdown("\n".join(f"- {words.finding(finding)}" for finding in findings))


def answer(asked: Asked, fleet: Fleet, current: Changes) -> None:
    settings, currency = fleet.records.settings, fleet.records.settings.currency
    said = changed(current, fleet)
    found = results.what_if(asked, current)
    st.subheader(words.plain(current.name))
    first, *others = brought(found, currency)
    st.markdown(f"**{words.plain(says.headline(first, said))}**")
    if said != [NOTHING] and len(said) > 1:
        st.markdown("\n".join(f"- {words.plain(sentence)}" for sentence in said))
    st.markdown("\n\n".join(words.plain(sentence) for sentence in others))
    frame.not_an_inspection()
    frame.without_prices(fleet.records)
    keep(current)
    st.subheader("Beside today's plan")
    season_box, kind_box = st.columns(2)
    seasons = [EVERY_SEASON, *found.years]
    choices.only("what if season", seasons)
    season = season_box.selectbox("Seasons", seasons, format_func=says.season, key="what if season")
    kinds = [ALL, *sorted(set(found.table["kind"]) - {ALL})]
    choices.only("what if kind", kinds)
    kind = kind_box.selectbox(
        "For",
        kinds,
        format_func=lambda name: "the whole fleet" if name == ALL else settings.kind(name).label,
        key="what if kind",
    )
    table = tables.of_plan(found, season, kind, currency)
    st.dataframe(table, hide_index=True, height=frame.rows(len(table.index)))
    st.caption(f"{says.budget(found, currency)} {says.exactness(found, currency)} {says.COUNTED}")
    st.plotly_chart(
        figures.differences(found, figures.NUMBERS, currency),
        config=frame.CHART,
        key="what if numbers",
    )
    st.plotly_chart(
        figures.differences(found, figures.COSTS, currency), config=frame.CHART, key="what if costs"
    )
    st.caption(says.CHART)
    plans = [found, *kept(asked, fleet, current)]
    beside(plans, currency)
    boats(found)
    hand_out(fleet, plans, current)
    with st.expander("What the comparison takes for granted"):
        st.markdown("\n".join(f"- {line}" for line in taken_for_granted(current)))


def keep(current: Changes) -> None:
    """Keep plans by name for this visit, and let them go."""
    plans: dict[str, Changes] = st.session_state.setdefault(KEPT, {})
    with st.container(horizontal=True, vertical_alignment="bottom"):
        if st.button("Keep this plan", type="primary", disabled=plans.get(current.name) == current):
            plans[current.name] = current
            st.rerun()
        for name in list(plans):
            if st.button(f"Let go of {words.plain(name)}", key=f"what if drop {name}"):
                del plans[name]
                st.rerun()
    if plans:
        st.caption(says.KEPT_NOTE)


def kept(asked: Asked, fleet: Fleet, current: Changes) -> list[Compared]:
    """Kept plans other than the one at hand, over its seasons, where still possible."""
    plans: dict[str, Changes] = st.session_state.get(KEPT, {})
    found = []
    for one in plans.values():
        if one == current:
            continue
        if findings := not_possible(one, fleet, one.name):
            st.warning(says.NOT_ANY_MORE)
            st.markdown("\n".join(f"- {words.finding(finding)}" for finding in findings))
            continue
        found.append(results.what_if(asked, replace(one, seasons_ahead=current.seasons_ahead)))
    return found


def beside(plans: list[Compared], currency: str) -> None:
    if len(plans) > 1:
        st.subheader("Plans side by side")
        table = tables.side_by_side(plans, currency)
        st.dataframe(table, hide_index=True, height=frame.rows(len(table.index)))
    st.subheader("Season by season")
    measures = [*figures.NUMBERS, *(name for name in MEASURES if name in MONEY)]
    choices.only("what if measure", measures)
    measure = st.selectbox(
        "Show", measures, format_func=lambda name: MEASURES[name], key="what if measure"
    )
    st.plotly_chart(
        figures.by_season(plans, measure, currency), config=frame.CHART, key="what if seasons"
    )


def boats(found: Compared) -> None:
    table = tables.boats(found)
    if table.empty:
        return
    with st.expander("Boats whose chance of a failure changes most"):
        st.dataframe(table, hide_index=True, height=frame.rows(len(table)))
        st.caption(says.BOATS.format(year=found.years[0]))


def hand_out(fleet: Fleet, plans: list[Compared], current: Changes) -> None:
    settings = fleet.records.settings
    st.subheader("Take it along")
    with st.container(horizontal=True):
        st.download_button(
            "Changes as a file",
            changes_text(current),
            f"{words.in_file_name(current.name)[: frame.LONGEST_NAME] or 'what_if'}.toml",
            "application/toml",
            on_click="ignore",
            key="what if changes file",
        )
        frame.download("Comparison as CSV", tables.download(plans), settings, "what_if.csv")
    link = link_text(current)
    if not link:
        st.info(says.NO_LINK)
        return
    st.caption(says.LINK)
    here = (st.context.url or "").split("?")[0]
    st.code(f"{here}?{PLAN}={link}", language=None, wrap_lines=True)


frame.page(frame.PAGES["views/what_if.py"], says.LEAD, show)
