"""What a visitor chose: kept when a page is left, dropped where it no longer exists.

Streamlit forgets a widget that a page does not draw. A copy under a second name
gives it back when its page is opened again.
"""

from __future__ import annotations

from collections.abc import Collection

import streamlit as st

HELD = frozenset(
    [
        *(
            "order",
            "bases",
            "kinds",
            "least",
            "boats order",
            "boat",
            "kind",
            "field",
            "section",
            "bearing",
            "belief doubted",
        ),
        *(
            "exports source",
            "exports group",
            "finding group",
            "exports who",
            "exports accepted by",
        ),
        *("budget kind", "budget season", "budget by", "done", "file"),
        *("replace kind", "replace base", "replace per"),
        *("spares chance", "spares one", "spares store"),
        *("policies kind", "policies seasons", "policies risk", "policies asked"),
        *("what if", "what if season", "what if kind", "what if measure"),
        *("yard boat", "yard decide boat", "yard what"),
    ]
)
"""Widgets whose choice is kept."""

BEGINNINGS = ("part of ", "value of ")
"""So begin the names of widgets that there is one of for each boat, or each field."""

_COPY = "kept "


def hold() -> None:
    """Copy what is chosen, and give back what was chosen before; call it before any widget."""
    for name in [str(name) for name in st.session_state]:
        if name in HELD or name.startswith(BEGINNINGS):
            st.session_state[_COPY + name] = st.session_state[name]
    for name in [str(name) for name in st.session_state]:
        chosen = name.removeprefix(_COPY)
        if name.startswith(_COPY) and chosen not in st.session_state:
            st.session_state[chosen] = st.session_state[name]


def only(name: str, options: Collection[object]) -> None:
    """Drop what was chosen of a widget where its options no longer hold it."""
    chosen = st.session_state.get(name)
    if isinstance(chosen, list):
        st.session_state[name] = [one for one in chosen if one in options]
    elif chosen is not None and chosen not in options:
        del st.session_state[name]


def look_into(boat: str) -> None:
    """Choose a boat, and no filter that could hide it."""
    for name, value in {"boat": boat, "bases": [], "kinds": [], "least": 0}.items():
        st.session_state[name] = value
