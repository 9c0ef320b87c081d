"""The sections of the page on ageing, one shown at a time; each is a module of its own.

A section is imported when it is chosen: what it needs may take seconds to open.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module

import streamlit as st

from dashboard.results import Asked, Chosen


@dataclass(frozen=True)
class Section:
    """One section.

    Attributes
    ----------
    label : str
        What it is called on the page.
    module : str
        Module of `dashboard` with ``show(asked, chosen)``.
    about : str
        The question it answers.
    """

    label: str
    module: str
    about: str


SECTIONS: dict[str, Section] = {
    section.module: section
    for section in (Section("Curves", "ageing_curves", "How long do parts of this kind last?"),)
}


def choose() -> str:
    """Ask which section to show."""
    return st.radio(
        "What to look at",
        list(SECTIONS),
        format_func=lambda module: SECTIONS[module].label,
        horizontal=True,
        key="section",
    )


def show(module: str, asked: Asked, chosen: Chosen) -> None:
    """Show one section."""
    st.caption(SECTIONS[module].about)
    import_module(f"dashboard.{module}").show(asked, chosen)
