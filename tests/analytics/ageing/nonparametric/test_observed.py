"""The tables of what was seen, for every kind of the sample fleet."""

from __future__ import annotations

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.ageing.nonparametric import incidence
from analytics.ageing.nonparametric.observed import observed


def test_every_kind_has_its_rows_in_the_unit_of_its_clock(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    found = observed(sample.lives, sample_ageing)
    kinds = set(sample.lives.table["kind"])
    clocks = dict(zip(sample.lives.table["kind"], sample.lives.table["clock"], strict=True))
    for table in (found.survival, found.causes):
        assert set(table["kind"]) == kinds
        assert dict(zip(table["kind"], table["unit"], strict=True)) == clocks
    assert set(found.replacements["unit"]) == {"years"}
    assert list(found.survival.columns[:4]) == ["kind", "group", "unit", "age_from"]
    assert list(found.causes.columns[:4]) == ["kind", "group", "unit", "age"]
    assert list(found.replacements.columns[:4]) == ["kind", "group", "unit", "time_watched"]
    for table in (found.survival, found.causes):
        groups = table[["kind", "group"]].drop_duplicates()
        assert list(groups.itertuples(index=False, name=None)) == list(sample_ageing)


def test_what_is_in_place_and_what_ended_is_everything(
    sample: job.Fleet, sample_ageing: FleetAgeing
) -> None:
    causes = observed(sample.lives, sample_ageing).causes
    ended = causes.groupby(["kind", "group", "age"])["share"].sum()
    in_place = causes.groupby(["kind", "group", "age"])["share_in_place"].first()
    assert ((ended + in_place - 1).abs() < 1e-9).all()
    lips = incidence.from_lives(sample.lives, "lip_seal").table()
    assert causes.loc[causes["kind"] == "lip_seal", "share"].tolist() == lips["share"].tolist()
