"""What every page has: its title, whose records it shows, cautions, and errors in plain words."""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Sequence

import pandas as pd
import streamlit as st

from analytics.ageing.fit import FleetAgeing
from analytics.papers import words as shared
from analytics.papers.cautions import CAUTIONS, NOT_AN_INSPECTION
from analytics.papers.files import csv_text
from analytics.records.findings import Finding, FleetError
from analytics.records.reading import Records
from analytics.records.settings import Settings
from analytics.records.tables import PRICES
from dashboard import results, risk_words, words
from dashboard.exports import state as exports_state
from dashboard.exports import words as exports_words
from dashboard.results import Asked

EXPORTS = "views/exports.py"

PAGES = {
    "views/season.py": "This season",
    "views/ageing.py": "How parts age",
    "views/boats.py": "Boats at risk",
    "views/replacement.py": "When to replace",
    "views/budget.py": "Parts budget",
    "views/spares.py": "Spares and orders",
    "views/yard.py": "Haul-out plan",
    "views/what_if.py": "What if",
    "views/records.py": "What was read",
    EXPORTS: "Bring in exports",
}

WAITING = frozenset(["file_left_alone", "header_changed"])
"""Sorts of finding that the page of exports settles."""

CHART = {"displayModeBar": False, "responsive": True}
"""Plotly's own buttons do nothing here that the page does not."""

DEBUG = "TIDEWORN_DEBUG"
"""Environment variable that lets the terminal show where a page failed."""

# Texts of a figure take the colour of the page, also when that turns from light to dark.
_INK = """<style>
.js-plotly-plot :is(.xtick, .ytick, .x2tick, .y2tick, .textpoint) text,
.js-plotly-plot text:is(.xtitle, .ytitle, .x2title, .legendtext, .annotation-text)
{ fill: currentColor !important; }
.stMainBlockContainer { padding-top: 4.2rem; max-width: 84rem; }
@media (min-width: 50rem) { .stMainBlockContainer { padding-left: 2rem; padding-right: 2rem; } }
</style>"""

LONGEST_NAME = 100
"""Letters of a file's name; longer ones are refused by some systems."""

_log = logging.getLogger(__name__)


def page(title: str, lead: str, show: Callable[[Asked], None]) -> None:
    """Run a page; whatever goes wrong becomes sentences that say what to do."""

    def answer() -> None:
        asked = st.session_state.get("asked")
        if isinstance(asked, FleetError):
            raise asked
        assert isinstance(asked, Asked)
        settings = results.fleet(asked).records.settings
        if settings.demo:
            st.markdown(f"{lead} :orange-badge[{words.demo(settings)}]")
        else:
            st.markdown(lead)
        if not exports_state.draft().empty:
            st.info(exports_words.UNACCEPTED)
        show(asked)

    _run(title, answer)


def page_of_files(title: str, lead: str, show: Callable[[], None]) -> None:
    """Run a page that needs files and no records yet."""

    def answer() -> None:
        st.markdown(lead)
        show()

    _run(title, answer)


def _run(title: str, answer: Callable[[], None]) -> None:
    st.html(_INK)
    st.title(title)
    try:
        answer()
        _links(title)
    except FleetError as error:
        refused(error.findings)
        if title != PAGES[EXPORTS]:
            _to_exports(error.findings)
    except Exception as error:  # a page that breaks must still say what to do
        _log.error("page '%s' failed: %s", title, error, exc_info=DEBUG in os.environ)
        st.error(words.unexpected(error))


def refused(findings: tuple[Finding, ...]) -> None:
    """Why the records cannot give an answer, one sentence per finding."""
    st.error(words.REFUSED)
    for finding in findings:
        st.markdown(f"- {words.finding(finding)}")
    st.markdown(words.REFUSED_NEXT)


def _to_exports(findings: tuple[Finding, ...]) -> None:
    """The way to the page that takes files as they come."""
    waits = any(finding.sort in WAITING for finding in findings)
    told = exports_words.WAITING if waits else exports_words.TO_EXPORTS
    if not exports_state.draft().empty:
        told = f"{told} {exports_words.NOT_ACCEPTED}"
    st.markdown(told)
    if st.button(PAGES[EXPORTS], type="primary", key="to exports"):
        st.switch_page(EXPORTS)


def not_an_inspection() -> None:
    """The caution that always stands beside a risk."""
    st.warning(NOT_AN_INSPECTION)


def cautions() -> None:
    """All cautions, one click away."""
    with st.expander("Cautions before any work on a shaft, seal or bearing"):
        st.markdown("\n".join(f"- {caution}" for caution in CAUTIONS))


def without_prices(records: Records) -> None:
    """Say so where costs leave the parts out."""
    if records.tables[PRICES.file].empty:
        st.info(risk_words.NO_PRICE_IN_COST)


def rows(number: int, most: int = 16, each: int = 35) -> int:
    """Pixels of a table that shows this many rows, at most so many before it scrolls."""
    return 35 + each * min(number, most) + 3


def assumptions(
    settings: Settings, ageing: FleetAgeing | None = None, *, money_too: bool = False
) -> None:
    """What the numbers take for granted."""
    with st.expander("What these numbers take for granted"):
        listed = shared.assumptions(settings, ageing, money_too=money_too)
        st.markdown("\n".join(f"- {line}" for line in listed))


def download(
    label: str,
    table: pd.DataFrame,
    settings: Settings,
    file: str,
    *,
    season: int | None = None,
    filters: Sequence[str] = (),
    counted: Sequence[str] = (),
    of: Asked | None = None,
) -> None:
    """A table as a CSV file that a spreadsheet opens without harm, and that says what it is of.

    Parameters
    ----------
    file : str
        Name of the command's file with the same table.
    season : int, optional
        Its year; part of the file's name and, where the table has no such column, a column.
    filters : sequence of str
        What the table was narrowed to; part of the file's name.
    counted : sequence of str
        Kinds that were counted where not all were; a column.
    of : Asked, optional
        The files that it is of, where they are not those of the sidebar.
    """
    stem, ending = file.rsplit(".", 1)
    marks = [] if season is None else [str(season)]
    name = "_".join([stem, *marks, *(words.in_file_name(one) for one in filters)])
    stamped = table.copy()
    if season is not None and "season" not in stamped:
        stamped["season"] = season
    stamped["as_of"] = str(settings.as_of)
    asked = of or st.session_state["asked"]
    stamped["fingerprint"] = asked.key[:12]
    if counted:
        stamped["counted"] = ", ".join(counted)
    st.download_button(
        label,
        csv_text(stamped, settings),
        f"{name[:LONGEST_NAME]}.{ending}",
        "text/csv",
        key=f"download {label}",
        on_click="ignore",
    )


def _links(here: str) -> None:
    """The other pages, for narrow screens where the navigation is folded away."""
    st.divider()
    with st.container(horizontal=True):
        for path, title in PAGES.items():
            if title != here:
                st.page_link(path, label=title)
