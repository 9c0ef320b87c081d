"""How a kind of part ages, and what that is known from."""

import streamlit as st

from analytics.papers import words as shared
from dashboard import choices, frame, results, words
from dashboard.ageing import sections
from dashboard.results import Asked, Chosen


def show(asked: Asked) -> None:
    settings = results.fleet(asked).records.settings
    chosen = choice(asked)
    fitted = results.kind(asked, chosen)
    if chosen.field:
        whole = results.ageing(asked)[chosen.kind, chosen.group]
        st.info(words.narrowed(fitted, whole, shared.FIELD_LABELS[chosen.field], chosen.value))
    if fitted.rests_on_prior:
        st.warning(f"{words.few(fitted)} {words.PRIOR_ONLY}")
    if missing := shared.without_reason(fitted.table):
        st.error(missing)
    st.markdown(words.counted(fitted))
    sections.show(sections.choose(), asked, chosen)
    frame.not_an_inspection()
    frame.cautions()
    frame.assumptions(settings, results.ageing(asked))


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
    fields = [name for name in shared.FIELD_LABELS if table[name].replace("", None).nunique() > 1]
    choices.only("field", ["", *fields])
    field = field_box.selectbox(
        "Look only at lives of one",
        ["", *fields],
        format_func=lambda name: shared.FIELD_LABELS.get(name, "no filter: all lives"),
        help=words.FILTER_HELP,
        key="field",
    )
    if not field:
        return Chosen(kind, group)
    counts = table[field].replace("", None).value_counts()
    choices.only(f"value of {field}", list(counts.index))
    value = value_box.selectbox(
        shared.FIELD_LABELS[field].capitalize(),
        list(counts.index),
        format_func=lambda value: f"{value} ({counts[value]} lives)" if value in counts else value,
        key=f"value of {field}",
    )
    return Chosen(kind, group, field, value)


frame.page(frame.PAGES["views/ageing.py"], words.AGEING_LEAD, show)
