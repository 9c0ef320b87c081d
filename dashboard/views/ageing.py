"""How a kind of part ages, and what that is known from."""

import sys

import streamlit as st

from analytics.papers import words as shared
from dashboard import choices, figures, frame, results, tables, words
from dashboard.results import Asked, Chosen


def show(asked: Asked) -> None:
    settings = results.fleet(asked).records.settings
    chosen = choice(asked)
    fitted = results.kind(asked, chosen)
    if "lifelines" in sys.modules:
        curves = results.curves(asked, chosen)
    else:
        with st.spinner("Opening the survival library, the first time only …"):
            curves = results.curves(asked, chosen)
    if chosen.field:
        whole = results.ageing(asked)[chosen.kind, chosen.group]
        st.info(words.narrowed(fitted, whole, words.FIELD_LABELS[chosen.field], chosen.value))
    prior_only = fitted.rests_on_prior
    if prior_only:
        st.warning(f"{words.few(fitted)} {words.PRIOR_ONLY}")
    else:
        st.markdown(f"**How sure.** {shared.how_sure(fitted)}")
    if curves.disagreement:
        st.warning(curves.disagreement)
    st.markdown(words.counted(fitted))
    drawn = curves.prior if prior_only else curves.fitted
    units = fitted.units_per_year
    st.subheader("How many are still sound")
    st.plotly_chart(
        figures.survival(
            drawn,
            curves.records,
            fitted.kind,
            oldest=curves.oldest,
            furthest=curves.furthest,
            units_per_year=units,
            ticks=curves.ticks,
            watched=curves.watched,
            youngest=curves.youngest,
            prior=prior_only,
        ),
        config=frame.CHART,
        key="survival chart",
    )
    from_new = words.watched_from_new(int(curves.watched[0]), fitted.lives)
    st.caption(f"{words.KAPLAN_MEIER} {from_new}")
    if curves.left_out:
        st.caption(words.left_out(curves.left_out, curves.left_out_failed, fitted=not prior_only))
    if curves.warning:
        st.warning(curves.warning)
    st.subheader("How the failure rate changes with age")
    st.plotly_chart(
        figures.hazard(
            drawn,
            fitted.kind,
            oldest=curves.oldest,
            furthest=curves.furthest,
            units_per_year=units,
            prior=prior_only,
        ),
        config=frame.CHART,
        key="hazard chart",
    )
    st.caption(f"{words.HAZARD_CAPTION} {words.accidents(fitted.kind, curves.figures)}")
    st.subheader("In figures")
    st.table(tables.key_figures(fitted, curves.figures, curves.prior_figures).set_index("Figure"))
    st.caption(words.KEY_FIGURES)
    st.markdown(shared.prior_sentence(fitted.kind))
    st.caption(words.boundary(fitted.kind))
    frame.not_an_inspection()
    frame.cautions()
    frame.assumptions(settings)


def choice(asked: Asked) -> Chosen:
    """The kind, and the lives of it to look at."""
    ageing, settings = results.ageing(asked), results.fleet(asked).records.settings
    choices.only("kind", list(ageing))
    kind_box, field_box, value_box = st.columns(3)
    kind, group = kind_box.selectbox(
        "Kind of part",
        list(ageing),
        format_func=lambda key: words.group(settings, *key),
        key="kind",
    )
    table = ageing[kind, group].table
    fields = [name for name in words.FIELD_LABELS if table[name].replace("", None).nunique() > 1]
    choices.only("field", ["", *fields])
    field = field_box.selectbox(
        "Look only at lives of one",
        ["", *fields],
        format_func=lambda name: words.FIELD_LABELS.get(name, "no filter: all lives"),
        help=words.FILTER_HELP,
        key="field",
    )
    if not field:
        return Chosen(kind, group)
    counts = table[field].replace("", None).value_counts()
    choices.only(f"value of {field}", list(counts.index))
    value = value_box.selectbox(
        words.FIELD_LABELS[field].capitalize(),
        list(counts.index),
        format_func=lambda value: f"{value} ({counts[value]} lives)" if value in counts else value,
        key=f"value of {field}",
    )
    return Chosen(kind, group, field, value)


frame.page(frame.PAGES["views/ageing.py"], words.AGEING_LEAD, show)
