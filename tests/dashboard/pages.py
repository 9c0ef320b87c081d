"""Opening a page without a browser, and reading what it drew."""

from __future__ import annotations

import base64
import json
from pathlib import Path
from typing import Any

import numpy as np
from streamlit.testing.v1 import AppTest

import dashboard

APP = Path(dashboard.__file__).with_name("app.py")
PAGES = ("season", "ageing", "boats", "replacement", "budget", "spares", "what_if", "records")


def opened(page: str) -> AppTest:
    """The page on the folder that TIDEWORN_FOLDER names."""
    return turned(AppTest.from_file(str(APP), default_timeout=60).run(), page)


def turned(at: AppTest, page: str) -> AppTest:
    """The same visitor, on another page."""
    return at.switch_page(f"views/{page}.py").run()


def turned_to(at: AppTest, section: str) -> AppTest:
    """The page on ageing with another section of it."""
    return at.radio(key="section").set_value(section).run()


def said(at: AppTest) -> str:
    """Everything that the page says, tables and figures included."""
    texts = [
        element.value
        for kind in (at.title, at.subheader, at.markdown, at.caption, at.info, at.warning, at.error)
        for element in kind
    ]
    tables = [element.value.to_csv() for kind in (at.dataframe, at.table) for element in kind]
    drawn = [json.dumps(chart) for chart in charts(at)]
    return "\n".join([*texts, *tables, *drawn])


def charts(at: AppTest) -> list[dict[str, Any]]:
    """The plotly figures of the page."""
    return [json.loads(chart.proto.spec) for chart in at.get("plotly_chart")]


def named(chart: dict[str, Any], name: str) -> dict[str, Any]:
    """One trace of a figure."""
    return next(trace for trace in chart["data"] if trace.get("name") == name)


def values(cells: Any) -> np.ndarray:
    """Numbers of a trace, which plotly packs as bytes."""
    if isinstance(cells, dict):
        return np.frombuffer(base64.b64decode(cells["bdata"]), dtype=cells["dtype"])
    return np.asarray(cells, dtype=float)
