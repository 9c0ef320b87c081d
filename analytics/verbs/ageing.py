"""The verb `ageing`: how each kind of part ages."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from analytics import job
from analytics.ageing.agreement import disagreement
from analytics.ageing.fit import Ageing, FleetAgeing
from analytics.ageing.posterior import Posterior
from analytics.ageing.summary import Estimate, ageing_document, key_figures
from analytics.papers import words
from analytics.papers.ageing_sentences import ageing_sentences
from analytics.papers.ageing_tables import ageing_tables
from analytics.papers.terminal import Terminal
from analytics.records.reading import folder_files
from analytics.verbs.telling import (
    document,
    headline,
    named,
    with_notice,
    write,
    write_json,
)


def ageing(folder: Path, out: Path | None, as_json: bool, seed: int) -> int:
    """How each kind of part ages."""
    with Terminal(as_json) as terminal:
        fleet = job.open_fleet(folder_files(folder), terminal.progress)
        fitted = job.how_it_ages(fleet, seed, terminal.progress)
        headline(terminal, fleet)
        terminal.table(
            "How each kind ages (90 % intervals)",
            _ageing_shown(fitted),
            right=["lives", "failures", "10 % failed by", "shape"],
        )
        for one in fitted.values():
            terminal.say(
                f"{named(one.kind.label, one.group)}: {words.how_sure(one)} "
                f"{words.prior_sentence(one.kind)} {disagreement(one) or ''}".rstrip()
            )
            for sentence in ageing_sentences(one):
                terminal.say(f"  - {sentence}")
        documents = [ageing_document(one) for one in fitted.values()]
        if out:
            wear, coming = job.wear_of(fleet, fitted, seed), fleet.coming_season()
            files = ageing_tables(fleet.lives, fitted, wear, coming, seed, terminal.progress)
            write(terminal, fleet, out, files)
            write_json(terminal, out / "ageing.json", with_notice(fleet, {"kinds": documents}))
        document(fleet, as_json, {"kinds": documents})
    return 0


def _ageing_shown(fitted: FleetAgeing) -> pd.DataFrame:
    rows = []
    for one in fitted.values():
        rows.append(_figures_shown(one, named(one.kind.label, one.group), one.posterior))
        if one.rests_on_prior:
            rows.append(_figures_shown(one, "  the prior alone", one.prior))
    return pd.DataFrame(
        rows, columns=["kind", "lives", "failures", "10 % failed by", "shape", "how sure"]
    )


def _figures_shown(one: Ageing, named: str, posterior: Posterior) -> list[object]:
    figures = key_figures(one, posterior)
    digits = 1 if one.kind.clock == "years" else 0
    life = f"{_estimate(figures.life_10, digits)} {one.kind.unit}"
    return [named, one.lives, one.failures, life, _estimate(figures.shape, 1), one.grade]


def _estimate(estimate: Estimate, digits: int) -> str:
    return (
        f"{estimate.median:,.{digits}f} ({estimate.low:,.{digits}f} to {estimate.high:,.{digits}f})"
    )
