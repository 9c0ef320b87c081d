"""The wear-out families of one kind: what is said, drawn and tabled; no Streamlit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from analytics.ageing.constant_rate import AgeingEvidence, does_it_age
from analytics.ageing.curves import ages_to_draw
from analytics.ageing.family_curves import curves_by_family
from analytics.ageing.fit import Ageing
from analytics.ageing.nonparametric.kaplan_meier import drawn_lives, kaplan_meier
from analytics.ageing.summary import families_table, family_sentence
from dashboard.ageing.families_words import LABELS


@dataclass(frozen=True)
class Families:
    """What is known of the families of one kind.

    Attributes
    ----------
    sentence : str
        Which family, and how sure.
    evidence : AgeingEvidence
    table, curves, records : DataFrame
        From `families_table`, `curves_by_family` and `kaplan_meier`.
    youngest, furthest : float
        Age from which on lives were watched, and where the age axis ends.
    """

    sentence: str
    evidence: AgeingEvidence
    table: pd.DataFrame
    curves: pd.DataFrame
    records: pd.DataFrame
    youngest: float
    furthest: float


def families_of(fitted: Ageing, seed: int | None = None) -> Families:
    """The families of one kind; chance is drawn as in its fit unless a seed is given."""
    seed = fitted.seed if seed is None else seed
    entry, end, failed, _ = drawn_lives(fitted.nodes)
    ages = ages_to_draw(fitted)
    evidence = does_it_age(fitted, seed)
    written = max(fitted.kind.limit or 0.0, fitted.kind.prior.at)
    oldest = float(end.max()) if len(end) else 0.0
    return Families(
        sentence=family_sentence(fitted),
        evidence=evidence,
        table=families_table(fitted, evidence),
        curves=curves_by_family(fitted, ages, seed),
        records=kaplan_meier(entry, end, failed),
        youngest=float(entry.min()) if len(entry) else 0.0,
        furthest=min(1.3 * max(oldest, written), float(ages[-1])),
    )


def shown(table: pd.DataFrame) -> pd.DataFrame:
    """The table of families as the page shows it: texts, blank where nothing was compared."""
    return pd.DataFrame({
        "Curve": [LABELS[name] for name in table["family"]],
        "Used": ["yes" if used else "" for used in table["used"]],
        "Weight, %": [_number(weight * 100, 0) for weight in table["weight"]],
        "Score": [_number(score, 1) for score in table["score"]],
        "Behind the best": [_number(behind, 1) for behind in table["behind"]],
        "± (standard error)": [
            "" if behind == 0 else _number(error, 1)
            for behind, error in zip(table["behind"], table["behind_error"], strict=True)
        ],
    })  # fmt: skip


def _number(value: float, digits: int) -> str:
    return f"{value:,.{digits}f}" if np.isfinite(value) else ""
