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
    for section in (
        Section("In short", "short", "What is known of this kind, section by section."),
        Section("Curves", "curves", "How long do parts of this kind last?"),
        Section("Causes", "causes", "What ends their lives, and at what age?"),
        Section("Groups and lots", "groups", "Which groups and lots last shorter or longer?"),
        Section("Which curve", "families", "Which curve fits, and does it age at all?"),
        Section("Belief and data", "belief", "How much is belief, and what hangs on it?"),
        Section("Clock", "clocks", "Do years age it, or shaft hours?"),
        Section("Readings", "readings", "How far are parts worn, and what is left?"),
        Section("As counted", "records", "What do the records show without a fitted curve?"),
        Section("Probability paper", "paper", "Do the records lie on a straight line?"),
    )
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
    import_module(f"dashboard.ageing.{module}").show(asked, chosen)
