"""What is belief and what is data, whether the season hangs on it, and a belief of one's own."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from analytics.ageing.belief import learned_table
from analytics.ageing.own_belief import prior_lines
from analytics.papers import belief as said
from analytics.records.kinds import Kind, Prior
from dashboard import frame, results
from dashboard.ageing import belief_figures as figures
from dashboard.ageing import belief_form as form
from dashboard.ageing import belief_tables as tables
from dashboard.ageing import belief_words as words
from dashboard.ageing.belief_answers import Believed
from dashboard.results import Asked, Chosen

_TRIED = "belief tried"


def show(asked: Asked, chosen: Chosen) -> None:
    """Belief and data side by side, the season under three beliefs, and a form to try another."""
    answer = results.believed(asked, chosen)
    _belief_and_data(asked, chosen, answer)
    _doubt(asked, chosen, answer.kind)
    _own(asked, chosen, answer.kind)


def _belief_and_data(asked: Asked, chosen: Chosen, answer: Believed) -> None:
    settings = results.fleet(asked).records.settings
    st.subheader(words.HEADING)
    if conflict := said.conflict_sentence(answer.figures):
        st.warning(conflict)
    st.markdown("\n".join(f"- {one}" for one in words.first_sentences(answer)))
    with st.expander(words.OTHER_FIGURES):
        st.markdown("\n".join(f"- {one}" for one in words.other_sentences(answer)))
    st.plotly_chart(
        figures.two_curves(
            answer.prior,
            answer.records,
            answer.kind,
            names=(words.BELIEF, words.RECORDS),
            oldest=answer.oldest,
            furthest=answer.furthest,
        ),
        config=frame.CHART,
        key="belief chart",
    )
    st.caption(words.CURVES)
    st.plotly_chart(figures.ranges(answer.figures), config=frame.CHART, key="belief ranges")
    st.caption(words.RANGES)
    st.table(tables.figures(answer).set_index("Figure"))
    st.caption(said.MEASURE)
    curves = pd.concat(
        [answer.prior.assign(basis=words.BELIEF), answer.records.assign(basis=words.RECORDS)],
        ignore_index=True,
    )
    with st.container(horizontal=True):
        named = _names(chosen)
        frame.download(
            "Belief and data as CSV",
            learned_table(answer.figures),
            settings,
            "belief_and_data.csv",
            filters=named,
        )
        frame.download("These curves as CSV", curves, settings, "belief_curves.csv", filters=named)


def _doubt(asked: Asked, chosen: Chosen, kind: Kind) -> None:
    settings = results.fleet(asked).records.settings
    st.subheader(words.DOUBT_HEADING)
    st.markdown(said.STANCES_LEAD)
    with st.expander(words.DOUBT_EXPANDER):
        st.markdown("\n".join(f"- {one}" for one in said.stance_sentences(kind)))
    if not st.toggle(words.DOUBT_TOGGLE, help=words.DOUBT_TOGGLE_HELP, key="belief doubted"):
        return
    doubt = results.doubted(asked, chosen)
    st.markdown(f"**{said.doubt_sentence(doubt, chosen.kind, chosen.group)}**")
    if doubt.parts.empty:
        return
    st.markdown(said.order_sentence(doubt))
    st.table(tables.beliefs(doubt, kind).set_index("Belief"))
    st.caption(words.DOUBT_CAPTION)
    st.dataframe(tables.parts(doubt), hide_index=True)
    st.caption(words.PARTS_CAPTION)
    year, named = doubt.season.year, _names(chosen)
    with st.container(horizontal=True):
        frame.download(
            "Three beliefs as CSV",
            doubt.kinds,
            settings,
            "prior_doubt.csv",
            season=year,
            filters=named,
        )
        frame.download(
            "Parts under three beliefs as CSV",
            doubt.parts,
            settings,
            "prior_doubt_parts.csv",
            season=year,
            filters=named,
        )


def _own(asked: Asked, chosen: Chosen, kind: Kind) -> None:
    st.subheader(words.FORM_HEADING)
    st.markdown(words.in_force(kind, chosen.group))
    st.markdown(words.FORM_LEAD)
    tried: dict[Chosen, Prior] = st.session_state.setdefault(_TRIED, {})
    entered = _form(chosen, kind, form.entered_of(tried.get(chosen, kind.prior)))
    if entered is not None:
        prior, wrong = form.belief_of(kind, entered)
        if prior is None:
            tried.pop(chosen, None)
            st.error(form.wrong_lead(wrong))
            st.markdown("\n".join(f"- {one}" for one in wrong))
        else:
            tried[chosen] = prior
    if chosen in tried:
        _compared(asked, chosen, kind, tried[chosen])


def _form(chosen: Chosen, kind: Kind, standing: form.Entered) -> dict[str, float] | None:
    """The fields; what was entered where the button was pressed."""
    named = " ".join(_names(chosen))
    entered = {}
    with st.form(f"belief form {named}"):
        for pair in form.rows_of(kind):
            # A row of its own for each pair, so that they stay together on a narrow screen.
            for box, field in zip(st.columns(2), pair, strict=False):
                entered[field.name] = box.number_input(
                    form.label(field, kind),
                    value=float(standing[field.name]),
                    step=field.step,
                    format="%g",
                    help=field.help,
                    key=f"belief {field.name} {named}",
                )
        st.caption(words.default_note(kind, chosen.group))
        pressed = st.form_submit_button(words.APPLY, type="primary")
    return entered if pressed else None


def _compared(asked: Asked, chosen: Chosen, kind: Kind, prior: Prior) -> None:
    """Before and after, and the lines that would keep it."""
    if prior == kind.prior:
        st.info(words.SAME)
        return
    settings = results.fleet(asked).records.settings
    season = results.season_asked(asked)
    tried = results.tried(asked, chosen, prior)
    st.markdown(f"**{words.tried_sentence(tried, season)}**")
    if conflict := said.conflict_sentence(tried.tried.figures):
        st.warning(conflict)
    st.plotly_chart(
        figures.two_curves(
            tried.now.records,
            tried.tried.records,
            kind,
            names=(words.NOW, words.TRIED),
            oldest=tried.now.oldest,
            furthest=tried.now.furthest,
        ),
        config=frame.CHART,
        key="tried chart",
    )
    st.caption(words.TRIED_CURVES)
    st.table(tables.compared(tried).set_index("Figure"))
    lead, kept = words.lines_lead(kind, chosen.group, some=bool(chosen.field))
    lines = prior_lines(kind.name, prior)
    if kept:
        st.markdown(lead)
        st.code(lines, language="toml")
    else:
        st.info(lead)
    both = pd.concat(
        [
            learned_table(side.figures).assign(belief=name)
            for side, name in ((tried.now, words.NOW), (tried.tried, words.TRIED))
        ],
        ignore_index=True,
    )
    with st.container(horizontal=True):
        if kept:
            st.download_button(
                "These lines as a file",
                lines,
                f"{kind.name}_belief.toml",
                "application/toml",
                key="download belief lines",
                on_click="ignore",
            )
        frame.download(
            "Before and after as CSV",
            both,
            settings,
            "belief_tried.csv",
            season=season.year,
            filters=_names(chosen),
        )
        if st.button(words.FORGET, key="forget belief"):
            del st.session_state[_TRIED][chosen]
            st.rerun()


def _names(chosen: Chosen) -> list[str]:
    """What a file or a form is of."""
    group = [] if chosen.group == "all" else [chosen.group]
    return [chosen.kind, *group, *([chosen.value] if chosen.field else [])]
