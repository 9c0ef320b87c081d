"""The tables of what was seen, for every kind of the sample fleet."""

from __future__ import annotations

from analytics import job
from analytics.ageing.nonparametric import incidence
from analytics.ageing.nonparametric.observed import observed


def test_every_kind_has_its_rows_in_the_unit_of_its_clock(sample: job.Fleet) -> None:
    found = observed(sample.lives)
    kinds = set(sample.lives.table["kind"])
    clocks = dict(zip(sample.lives.table["kind"], sample.lives.table["clock"], strict=True))
    for table in (found.survival, found.causes):
        assert set(table["kind"]) == kinds
        assert dict(zip(table["kind"], table["unit"], strict=True)) == clocks
    assert set(found.replacements["unit"]) == {"years"}
    assert list(found.survival.columns[:4]) == ["kind", "unit", "age_from", "age_to"]
    assert list(found.causes.columns[:4]) == ["kind", "unit", "age", "cause"]
    assert list(found.replacements.columns[:4]) == [
        "kind",
        "unit",
        "time_watched",
        "positions_watched",
    ]


def test_what_is_in_place_and_what_ended_is_everything(sample: job.Fleet) -> None:
    causes = observed(sample.lives).causes
    ended = causes.groupby(["kind", "age"])["share"].sum()
    in_place = causes.groupby(["kind", "age"])["share_in_place"].first()
    assert ((ended + in_place - 1).abs() < 1e-9).all()
    bellows = incidence.from_lives(sample.lives, "bellows").table()
    assert causes.loc[causes["kind"] == "bellows", "share"].tolist() == bellows["share"].tolist()
