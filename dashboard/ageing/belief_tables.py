"""Tables of belief and data, as the page shows them; no computation."""

from __future__ import annotations

import pandas as pd

from analytics.outlook.doubt import PriorDoubt
from analytics.papers import belief as said
from analytics.papers.words import percent, place
from analytics.records.kinds import Kind
from dashboard.ageing.belief_answers import Believed, Tried

SHOWN = 10
"""Parts that the page shows; the file holds all of them."""


def figures(answer: Believed) -> pd.DataFrame:
    """Each figure before the records and with them."""
    kind = answer.kind
    return pd.DataFrame(
        {
            "Figure": [said.named_with_unit(one) for one in answer.figures],
            "Before the records": [said.estimate_of(one.prior, one.unit) for one in answer.figures],
            "With the records": [said.estimate_of(one.records, one.unit) for one in answer.figures],
            "From the records": [
                "not fitted" if not one.fitted else percent(max(one.from_records, 0.0))
                for one in answer.figures
            ],
            "Do they go together?": [
                "no: they pull apart" if one.conflict else "yes" if one.fitted else "not known"
                for one in answer.figures
            ],
        },
        index=pd.RangeIndex(len(answer.figures), name=kind.label),
    )


def beliefs(doubt: PriorDoubt, kind: Kind) -> pd.DataFrame:
    """The expected failures under each belief, and the belief."""
    rows = doubt.kinds
    return pd.DataFrame(
        {
            "Belief": [said.STANCE_WORDS[name].capitalize() for name in rows["prior"]],
            f"Expected failures, season {doubt.season.year}": [
                f"{said.value(mean, 'failures')} ({said.value(low, 'failures')} to "
                f"{said.value(high, 'failures')})"
                for mean, low, high in zip(
                    rows["expected_failures"],
                    rows["expected_low"],
                    rows["expected_high"],
                    strict=True,
                )
            ],
            "Shape": [
                f"{low:.1f} to {high:.1f}"
                for low, high in zip(rows["shape_low"], rows["shape_high"], strict=True)
            ],
            f"Worn out by {kind.prior.at:,.0f} {kind.unit}": [
                f"{percent(low)} to {percent(high)}"
                for low, high in zip(rows["worn_out_low"], rows["worn_out_high"], strict=True)
            ],
        }
    )


def parts(doubt: PriorDoubt) -> pd.DataFrame:
    """The parts of highest risk, and their place in the order under each belief."""
    first = doubt.parts.head(SHOWN)
    table = {
        "Part": [
            place(boat, position)
            for boat, position in zip(first["boat"], first["position"], strict=True)
        ]
    }
    for stance, column in (
        ("doubtful", "doubtful"),
        ("as set", "as_set"),
        ("trusting", "trusting"),
    ):
        table[f"Risk, {stance}"] = [
            f"{percent(risk)} (place {rank})"
            for risk, rank in zip(first[f"risk_{column}"], first[f"rank_{column}"], strict=True)
        ]
    return pd.DataFrame(table)


def compared(tried: Tried) -> pd.DataFrame:
    """Each figure with the belief in force and with the one tried."""
    pairs = [
        (now, new)
        for now, new in zip(tried.now.figures, tried.tried.figures, strict=True)
        # Shape and scale of different families cannot be set side by side.
        if now.family == new.family or now.figure not in ("shape", "scale")
    ]
    return pd.DataFrame(
        {
            "Figure": [said.named_with_unit(now) for now, _ in pairs],
            "Belief in force": [said.estimate_of(now.prior, now.unit) for now, _ in pairs],
            "With the records": [said.estimate_of(now.records, now.unit) for now, _ in pairs],
            "Belief tried": [said.estimate_of(new.prior, new.unit) for _, new in pairs],
            "Tried, with the records": [
                said.estimate_of(new.records, new.unit) for _, new in pairs
            ],
        }
    )
