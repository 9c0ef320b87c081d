"""The draft of each fleet folder, kept while a visitor goes from page to page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import streamlit as st

from dashboard.exports.draft import Draft, Given

GIVEN = "exports given"
DRAFTS = "exports drafts"
TOLD = "exports told"
WHO = "exports who"


def given() -> Given:
    """The files that the sidebar names."""
    found = st.session_state.get(GIVEN)
    return found if isinstance(found, Given) else Given()


def draft() -> Draft:
    """What was brought in and said about those files, and not accepted yet."""
    found = st.session_state.get(DRAFTS, {}).get(given().place)
    return found if isinstance(found, Draft) else Draft()


def keep(changed: Draft) -> None:
    """Keep a draft in place of the one before."""
    st.session_state[DRAFTS] = {**st.session_state.get(DRAFTS, {}), given().place: changed}


def tell(text: str) -> None:
    """Something to say once, when the page is drawn next."""
    st.session_state[TOLD] = text


def told() -> str:
    """What was to be said, once; blank where there is nothing."""
    return str(st.session_state.pop(TOLD, ""))


def bound(name: str, value: Any, save: Callable[[Any], None]) -> dict[str, Any]:
    """Key and callback of a widget that shows what the draft says, and changes it.

    The draft is what counts: whatever the widget showed before is put aside, so
    that two widgets about one thing never disagree.
    """
    st.session_state[name] = value
    return {"key": name, "on_change": lambda: save(st.session_state[name])}
