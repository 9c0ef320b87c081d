"""One section of the page on ageing, drawn on its own."""

from __future__ import annotations

from pathlib import Path

from streamlit.testing.v1 import AppTest


def section(module: str, folder: Path, kind: str, **narrowed: str) -> AppTest:
    """A section of one kind, as its page would show it."""
    lines = [
        "from pathlib import Path",
        "import streamlit as st",
        f"from dashboard.ageing import {module}",
        "from dashboard import results",
        "from dashboard.results import Chosen",
        f"asked = results.of_folder(Path({str(folder)!r}))",
        'st.session_state["asked"] = asked',
        f"{module}.show(asked, Chosen({kind!r}, 'all', **{narrowed!r}))",
    ]
    at = AppTest.from_string("\n".join(lines), default_timeout=120).run()
    assert not at.exception, at.exception
    return at


def written(folder: Path, parts: list[str]) -> Path:
    """A folder of rows of parts.csv (boat, kind, fitted_on, removed_on, reason)."""
    boats = dict.fromkeys(row.split(",")[0] for row in parts)
    (folder / "fleet.toml").write_text("as_of = 2024-06-30\nrecords_from = 2005-01-01\n")
    (folder / "boats.csv").write_text("boat\n" + "\n".join(boats) + "\n")
    head = "boat,kind,fitted_on,removed_on,reason"
    (folder / "parts.csv").write_text("\n".join([head, *parts]) + "\n")
    return folder
