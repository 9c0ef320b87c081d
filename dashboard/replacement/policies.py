"""Rules of renewing compared on the same futures: words, picture and table."""

from __future__ import annotations

import streamlit as st

from analytics.decisions.policies import Compared, comparison, policies_table
from analytics.outlook.futures import N_FUTURES
from analytics.papers import policies as says
from analytics.records.settings import Settings
from dashboard import choices, frame, results
from dashboard.replacement import policies_figures as figures
from dashboard.replacement import policies_tables as tables
from dashboard.replacement import words
from dashboard.results import Asked
from dashboard.words import plain

MOST_PARTS = 2000
"""Parts in service above which nothing is simulated before it is asked for."""


def show(asked: Asked) -> None:
    """How other rules than the limits as set would do."""
    fleet = results.fleet(asked)
    settings = fleet.records.settings
    st.subheader(words.RULES)
    st.caption(words.RULES_LEAD)
    if len(fleet.lives.in_service()) > MOST_PARTS and not st.toggle(
        words.RULES_TOGGLE, key="policies asked", help=words.rules_help(N_FUTURES)
    ):
        return
    kind_box, seasons_box, risk_box = st.columns(3)
    st.session_state.setdefault("policies risk", 0.10)
    threshold = risk_box.selectbox(
        "Renew by risk above",
        words.THRESHOLDS,
        format_func=lambda share: f"{share:.0%} a season".replace("%", " %"),
        help=words.THRESHOLD_HELP,
        key="policies risk",
    )
    found = results.policies(asked, threshold)
    kinds, horizons = list(found.kinds), list(range(len(found.seasons), 0, -1))
    choices.only("policies kind", kinds)
    choices.only("policies seasons", horizons)
    kind = kind_box.selectbox(
        "For",
        kinds,
        format_func=lambda name: says.kind_label(settings, name),
        key="policies kind",
    )
    seasons = seasons_box.selectbox(
        "Over", horizons, format_func=lambda n: says.horizon(found, n), key="policies seasons"
    )
    _compared(found, settings, kind, seasons)


def _compared(found: Compared, settings: Settings, kind: str, seasons: int) -> None:
    table = comparison(found, settings.currency, kind=kind, seasons=seasons)
    st.markdown(plain(says.today(table, found, settings.currency)))
    beside = says.beside_today(table, found, settings.currency)
    st.markdown("\n".join(f"- {plain(sentence)}" for sentence in beside))
    if unpriced := found.outcomes[0].unpriced:
        st.warning(plain(says.unpriced(unpriced)))
    left, right = st.columns(2)
    with left:
        st.plotly_chart(
            figures.differences(table, found, "cost", settings.currency),
            config=frame.CHART,
            key="policies cost",
        )
    with right:
        st.plotly_chart(
            figures.differences(table, found, "failures", settings.currency),
            config=frame.CHART,
            key="policies failures",
        )
    st.caption(words.DIFFERENCES)
    st.dataframe(
        tables.rules(table, found),
        column_config=tables.RULES_COLUMNS,
        hide_index=True,
        height=frame.rows(len(found.outcomes)),
        key="policies table",
    )
    st.caption(words.rules_caption(settings.currency))
    frame.download(
        "Rules as CSV",
        policies_table(found, settings.currency),
        settings,
        "policies.csv",
    )
    with st.expander(words.WHAT_RULES_DO):
        names = [outcome.rule.name for outcome in found.outcomes]
        meant = [
            f"**{says.rule_label(name, found.threshold)}**: "
            f"{says.rule_meaning(name, found.threshold)}"
            for name in names
        ]
        st.markdown("\n".join(f"- {line}" for line in [*meant, *says.assumptions(found, settings)]))
