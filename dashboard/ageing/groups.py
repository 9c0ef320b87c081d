"""Which groups last shorter, which lots have a life of their own, and a check by regression."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from analytics.ageing.fit import Ageing
from analytics.ageing.groups.lots import lots_table
from analytics.ageing.groups.regression import regression_table
from analytics.ageing.groups.regression_words import (
    agreement_sentences,
    method_sentences,
    steadiness_sentence,
)
from analytics.ageing.summary import key_figures
from analytics.records.settings import Settings
from dashboard import frame, results, tables
from dashboard.ageing import groups_figures as figures
from dashboard.ageing import groups_words as words
from dashboard.ageing.groups_answers import GroupsFound, drawn
from dashboard.results import Asked, Chosen
from dashboard.tables import Texts


def show(asked: Asked, chosen: Chosen) -> None:
    """Words, picture and table of the groups; the lots tried apart; regression on demand."""
    settings = results.fleet(asked).records.settings
    fitted, answer = results.kind(asked, chosen), results.groups(asked, chosen)
    _groups(chosen, settings, fitted, answer)
    _lots(asked, chosen, settings, fitted, answer)
    if not answer.found.table.empty:
        _regression(asked, chosen, settings)


def _groups(chosen: Chosen, settings: Settings, fitted: Ageing, answer: GroupsFound) -> None:
    found = answer.found
    st.subheader(words.HEADING)
    _listed(words.first_sentences(found, fitted))
    if found.table.empty:
        return
    st.markdown(words.ASSOCIATION)
    some = drawn(found.table)
    st.plotly_chart(figures.factors(some), config=frame.CHART, key="groups chart")
    st.caption(words.PICTURE)
    if len(some) < len(found.table):
        st.caption(words.more_than_drawn(len(some), len(found.table)))
    st.dataframe(
        tables.shown(pd.DataFrame(words.table_rows(found)), _TEXTS),
        hide_index=True,
        height=frame.rows(len(found.table), most=10),
        key="groups table",
    )
    st.caption(words.TABLE)
    table = found.table.copy()
    table.insert(0, "kind", fitted.kind.name)
    frame.download("Groups as CSV", table, settings, "groups.csv", filters=_names(chosen))


def _lots(
    asked: Asked, chosen: Chosen, settings: Settings, fitted: Ageing, answer: GroupsFound
) -> None:
    st.subheader(words.LOTS_HEADING)
    said = words.lots_sentences(answer, chosen.group)
    whole = results.ageing(asked)
    for lot in answer.lots:
        own, others = (whole.get((chosen.kind, group)) for group in (f"lot {lot.lot}", "all"))
        if lot.lot in answer.apart and own is not None and others is not None:
            lives = (key_figures(one).life_10 for one in (own, others))
            said.append(words.fitted_in_full(lot.lot, own, *lives))
    _listed(said)
    st.caption(words.LOTS_LEAD)
    if not answer.lots:
        return
    st.caption(words.LOTS_TRIAL)
    st.dataframe(
        pd.DataFrame(words.lots_rows(answer.lots)),
        hide_index=True,
        height=frame.rows(len(answer.lots), most=6),
        key="lots table",
    )
    table = lots_table(fitted, answer.lots, answer.apart)
    frame.download("Lots as CSV", table, settings, "lots.csv", filters=_names(chosen))


def _regression(asked: Asked, chosen: Chosen, settings: Settings) -> None:
    st.subheader(words.REGRESSION_HEADING)
    asked_for = st.toggle(
        words.REGRESSION_TOGGLE, help=words.REGRESSION_TOGGLE_HELP, key="groups regression"
    )
    if not asked_for:
        return
    found = results.regression(asked, chosen)
    of = results.groups(asked, chosen).found.table
    _listed([*agreement_sentences(found, of), steadiness_sentence(found)])
    if not found.table.empty:
        st.dataframe(
            pd.DataFrame(words.regression_rows(found.table.to_dict("records"))),
            hide_index=True,
            height=frame.rows(len(found.table), most=10),
            key="regression table",
        )
        st.caption(words.REGRESSION_TABLE)
        frame.download(
            "Regressions as CSV",
            regression_table(found, chosen.kind),
            settings,
            "regression.csv",
            filters=_names(chosen),
        )
    _listed(method_sentences(found))


def _listed(sentences: list[str]) -> None:
    said = [one for one in sentences if one]
    if said:
        st.markdown("\n".join(f"- {one}" for one in said) if len(said) > 1 else said[0])


_TEXTS: Texts = {
    **dict.fromkeys(("Times as long", "Likely from", "to"), "{:.2f}".format),
    **dict.fromkeys(("Chance shorter", "Chance longer"), words.chance),
}


def _names(chosen: Chosen) -> list[str]:
    group = [] if chosen.group == "all" else [chosen.group]
    return [chosen.kind, *group, *([chosen.value] if chosen.field else [])]
