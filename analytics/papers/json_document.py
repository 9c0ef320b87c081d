"""One JSON document on standard output, of values that JSON knows."""

from __future__ import annotations

import json
import math
from typing import Any

import numpy as np
import pandas as pd


def say(document: dict[str, Any], as_json: bool) -> None:
    """Print a document where it was asked for."""
    if as_json:
        print(json.dumps(plain(document), indent=1))


def plain(value: Any) -> Any:
    """Values that JSON knows; what is not known is null."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if value is None or isinstance(value, str | int | bool):
        return value
    if value is pd.NaT or value is pd.NA:
        return None
    if isinstance(value, pd.Timestamp):
        return value.strftime("%Y-%m-%d")
    return str(value)
