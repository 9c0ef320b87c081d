"""Every table about ageing that the command writes, on the sample fleet."""

from __future__ import annotations

import pandas as pd
import pytest

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.papers.ageing_sentences import ageing_sentences
from analytics.papers.ageing_tables import ageing_tables


@pytest.fixture(scope="module")
def tables(sample: job.Fleet, sample_ageing: FleetAgeing) -> dict[str, pd.DataFrame]:
    wear = job.wear_of(sample, sample_ageing)
    return ageing_tables(sample.lives, sample_ageing, wear, sample.coming_season())


def test_every_table_has_rows_of_every_kind_it_speaks_of(
    tables: dict[str, pd.DataFrame], sample_ageing: FleetAgeing
) -> None:
    everywhere = ("curves", "causes", "families", "family_curves", "belief")
    for name in everywhere:
        of = tables[f"{name}.csv"][["kind", "group"]].drop_duplicates()
        assert set(of.itertuples(index=False, name=None)) == set(sample_ageing), name
    for name, table in tables.items():
        assert len(table), name
        assert not table.columns.duplicated().any(), name
    assert set(tables["wear.csv"]["kind"]) == {"cutless_bearing"}


def test_the_story_of_the_sample_stands_in_its_files(tables: dict[str, pd.DataFrame]) -> None:
    lots = tables["lots.csv"]
    apart = lots[lots["set_apart"]]
    assert list(zip(apart["kind"], apart["lot"], strict=True)) == [("bellows", "QT-18")]
    groups = tables["groups.csv"]
    shorter = groups[(groups["chance_shorter"] >= 0.9) & (groups["field"] == "base")]
    named = set(zip(shorter["kind"], shorter["level"], strict=True))
    assert ("cutless_bearing", "Sandrick Lagoon") in named
    assert ("bellows", "Quillhaven") in named


def test_what_the_command_says_of_a_kind(sample_ageing: FleetAgeing) -> None:
    bellows = " ".join(ageing_sentences(sample_ageing["bellows", "all"]))
    for said in ("lot QT-18 was set apart", "Parts at Quillhaven last about", "The records narrow"):
        assert said in bellows
    bearings = " ".join(ageing_sentences(sample_ageing["cutless_bearing", "all"]))
    assert "Parts at Sandrick Lagoon last about three fifths as long" in bearings
    assert "the records cannot tell which" in bearings
    assert "cause" not in bearings.replace("whether the lot is the cause is not known", "")
