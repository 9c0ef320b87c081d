"""How the season's number of failures stands beside those of the budget and of what if."""

from __future__ import annotations

from analytics.outlook.season import SeasonRisk
from analytics.records.settings import Settings


def bridge(risk: SeasonRisk, settings: Settings) -> str:
    """Why other pages count otherwise: what would be seen afloat, and what only a lift shows."""
    ashore = [
        settings.kind(name)
        for name in sorted(risk.parts["kind"].unique())
        if settings.kind(name).found_ashore_only
    ]
    unseen = risk.parts["kind"].isin([kind.name for kind in ashore])
    hidden = float(risk.parts.loc[unseen, "risk"].sum())
    afloat = float(risk.parts.loc[~unseen, "risk"].sum())
    counted = (
        "the budget counts renewals over the season year, the lay-up lift and what it finds "
        "included, and What if those out of turn apart, so their numbers differ"
    )
    if not ashore:
        return f"All of these failures would be seen afloat; {counted}."
    listed = " or ".join(kind.label.lower() for kind in ashore)
    return (
        f"About {_about(afloat)} of these failures would be seen afloat; about "
        f"{_about(hidden)} would be wear ({listed}) that only a lift shows; {counted}."
    )


def _about(number: float) -> str:
    return f"{number:.1f}" if number < 3 else f"{number:,.0f}"
