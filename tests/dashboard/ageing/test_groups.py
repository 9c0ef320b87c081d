"""The section on groups: what it says, draws and offers, with much to tell and with little."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.ageing.fit import Ageing, FleetAgeing, kind_ageing
from analytics.ageing.groups.lots import lots_apart
from analytics.ageing.groups.standing_out import StandingOut, standing_out
from analytics.ageing.summary import key_figures
from analytics.papers.groups import fraction, group_sentences, longer, whose
from dashboard.ageing import groups_figures as figures
from dashboard.ageing import groups_words as words
from dashboard.ageing.groups_answers import GroupsFound, drawn, groups_found
from dashboard.words import plain
from tests.dashboard.pages import charts, said

FORBIDDEN = ("safe", "seaworthy", "certified", "caused", "because of")


def section(folder: Path, kind: str) -> AppTest:
    """The section alone, on a folder."""

    def page(folder: str, kind: str) -> None:
        from pathlib import Path

        import streamlit as st

        from dashboard import results
        from dashboard.ageing import groups
        from dashboard.results import Chosen

        asked = results.of_folder(Path(folder))
        st.session_state["asked"] = asked
        groups.show(asked, Chosen(kind, "all"))

    at = AppTest.from_function(page, args=(str(folder), kind), default_timeout=120)
    return at.run()


@pytest.fixture(scope="module")
def bearings(sample: job.Fleet) -> tuple[Ageing, StandingOut]:
    table = sample.lives.table
    fitted = kind_ageing(sample.lives, table[table["kind"] == "cutless_bearing"])
    return fitted, standing_out(fitted)


@pytest.fixture(scope="module")
def bellows(sample: job.Fleet) -> Ageing:
    table = sample.lives.table
    return kind_ageing(sample.lives, table[table["kind"] == "bellows"])


def answer(fitted: Ageing, found: StandingOut, apart: frozenset[str] = frozenset()) -> GroupsFound:
    named = fitted.table["lot"].replace("", None).nunique()
    return GroupsFound(found, found.lots, int(named), apart)


def test_silt_in_words_picture_table_and_file(
    sample_folder: Path, bearings: tuple[Ageing, StandingOut]
) -> None:
    at = section(sample_folder, "cutless_bearing")
    assert not at.exception
    found = bearings[1]
    first = found.shorter.iloc[0]
    texts = said(at)
    assert "**Parts at Sandrick Lagoon last about three fifths as long as the others:**" in texts
    assert f"{first['factor']:.2f} times, likely between {first['factor_low']:.2f}" in texts
    assert f"looked at {found.tried} groups" in texts
    assert "goes together with base, lay-up and water alike" in texts
    assert words.ASSOCIATION in texts
    (chart,) = charts(at)
    assert chart["layout"]["xaxis"]["title"]["text"] == "Times as long"
    # Names alone beside the axis: the legend says what they sort by.
    assert "Sandrick Lagoon" in chart["layout"]["yaxis"]["ticktext"]
    widest = max(len(line) for name in chart["layout"]["yaxis"]["ticktext"]
                 for line in name.split("<br>"))  # fmt: skip
    assert widest <= 16
    assert "**Parts at Port Ellorn last about 1.4 times as long as the others:**" in texts
    assert f"The table has {len(found.table)} rows" in texts
    assert f"of the {len(found.table)} rows of the table" in texts
    groups, lots = (one.value for one in at.dataframe)
    assert len(groups) == len(found.table)
    assert len(lots) == len(found.lots)
    for word in FORBIDDEN:
        assert not re.search(rf"\b{word}\b", texts, re.IGNORECASE)
    assert len(at.get("download_button")) == 2
    # Regression is worked out only when it is asked for.
    assert not any("The regressions" in one.value for one in at.markdown)
    (toggle,) = at.toggle
    at = toggle.set_value(True).run()
    assert not at.exception
    assert "The regressions agree with the life factors" in said(at)
    assert len(at.dataframe) == 3
    assert len(at.get("download_button")) == 3


def test_a_bad_lot_and_what_it_hides(
    sample_folder: Path, bellows: Ageing, sample_ageing: FleetAgeing
) -> None:
    at = section(sample_folder, "bellows")
    assert not at.exception
    (lot,) = [one for one in lots_apart(bellows) if one.sure]
    texts = said(at)
    assert "**Lot QT-18 has a life of its own** (chance more than 99 %)" in texts
    told = (
        f"In this trial the shape without it is {lot.shape_of_others:.1f}, with it "
        f"{lot.shape_with_it:.1f}: counted together, the lot hides how sharply the rest wears out."
    )
    assert told in texts
    assert f"Of {lot.looked_at} lots that the records name" in texts
    assert words.LOTS_TRIAL in texts
    # Beside the quick trial, the same figures as on the section of curves.
    own, others = (
        key_figures(sample_ageing["bellows", group]).life_10 for group in ("lot QT-18", "all")
    )
    assert (
        f"10 % have failed by {own.median:.1f} years ({own.low:.1f} to {own.high:.1f}) of lot "
        "QT-18" in texts
    )
    assert f"by {others.median:.1f} years ({others.low:.1f} to {others.high:.1f}) of the" in texts


def test_lots_are_tried_among_all_also_where_one_is_set_apart(
    sample: job.Fleet, bellows: Ageing
) -> None:
    rest = kind_ageing(sample.lives, bellows.table[bellows.table["lot"] != "QT-18"])
    asked: list[int] = []

    def refit(table: pd.DataFrame) -> Ageing:
        asked.append(len(table))
        return bellows

    groups = frozenset(["all", "lot QT-18"])
    found = groups_found(sample.lives, rest, groups, refit, narrowed=False)
    assert asked == [bellows.lives]
    assert found.lots[0].lot == "QT-18"
    assert found.apart == {"QT-18"}
    assert "QT-18" not in set(found.found.table["level"])
    told = words.lots_sentences(found, "all")[0]
    assert "It has a curve of its own; choose it above" in told
    assert "This is its own curve." in words.lots_sentences(found, "lot QT-18")[0]
    groups_found(sample.lives, bellows, frozenset(["all"]), refit, narrowed=False)
    groups_found(sample.lives, rest, groups, refit, narrowed=True)
    assert len(asked) == 1
    alone = groups_found(sample.lives, bellows, frozenset(["all"]), refit, narrowed=False)
    assert "It is counted with the others here." in words.lots_sentences(alone, "all")[0]


def test_where_nothing_stands_out_it_says_how_many_were_looked_at(
    bearings: tuple[Ageing, StandingOut],
) -> None:
    fitted, found = bearings
    none = found.table.assign(chance_shorter=0.4, chance_longer=0.4)
    alike = replace(found, table=none, lots=())
    first, less, second = words.first_sentences(alike, fitted)
    assert less.startswith("Less sure: parts at Sandrick Lagoon, 0.5")
    nothing = replace(alike, table=alike.table.assign(factor_high=1.2))
    assert words.first_sentences(nothing, fitted) == [first, second]
    assert first.startswith(f"**No group stands out** among the {found.tried} groups looked at")
    assert f"{found.tried} groups were looked at, shaft lines among them" in second
    assert "none was tried apart" in words.lots_sentences(answer(fitted, alike), "all")[0]
    unsure = replace(found, lots=tuple(replace(lot, chance=0.2) for lot in found.lots))
    (told,) = words.lots_sentences(answer(fitted, unsure), "all")
    assert "None has a life of its own; the likeliest" in told
    assert "20 %" in told


def test_a_group_that_lasts_longer_is_named_too(bearings: tuple[Ageing, StandingOut]) -> None:
    fitted, found = bearings
    named = longer(found)
    assert (named["chance_longer"] >= 0.9).all()
    assert "Port Ellorn" in set(named["level"])
    # One name for the same lives, and for what goes together.
    assert named["field"].nunique() == 1
    only = replace(found, table=found.table.assign(chance_shorter=0.4, factor_high=2.0))
    points = [point for point, _ in group_sentences(only, fitted)]
    assert points[0] == "No group is sure to last shorter"
    assert points[1].startswith("Parts at ")
    assert points[1].endswith(" times as long as the others:")
    number = len(named) + len(found.shorter)
    assert f"of the {number} named would be luck" in group_sentences(found, fitted)[-1][1]


def test_a_chance_from_draws_is_never_none_or_all() -> None:
    assert words.chance(0.0) == "less than 1 %"
    assert words.chance(1.0) == "more than 99 %"
    assert words.chance(0.42) == "42 %"


def test_too_few_lives_say_from_how_many(tmp_path: Path) -> None:
    parts = "".join(f"B{i},single,bellows,L1,2015-04-01,,\n" for i in range(6))
    for name, text in {
        "fleet.toml": "as_of = 2024-06-30\nrecords_from = 2005-01-01\n",
        "boats.csv": "boat,lay_up\n" + "".join(f"B{i},afloat\n" for i in range(6)),
        "parts.csv": f"boat,position,kind,lot,fitted_on,removed_on,reason\n{parts}",
    }.items():
        (tmp_path / name).write_text(text)
    at = section(tmp_path, "bellows")
    assert not at.exception
    texts = said(at)
    assert "**No groups were looked at.** 6 lives with 0 failures tell too little" in texts
    assert "at least 30 lives and 3 failures are needed" in texts
    assert charts(at) == []
    assert not at.toggle
    assert not at.get("download_button")


@pytest.mark.parametrize(
    ("factor", "told"),
    [(0.67, "about two thirds"), (0.5, "about half"), (0.27, "about a quarter"),
     (0.88, "about nine tenths"), (0.02, "less than a tenth")],
)  # fmt: skip
def test_factors_as_people_say_them(factor: float, told: str) -> None:
    assert fraction(factor) == told


def test_texts_of_the_records_are_shown_as_they_are() -> None:
    assert plain(whose("base", "*Port* [x](y)")) == "Parts at \\*Port\\* \\[x\\](y)"
    assert whose("yard", "Own") == "Parts with yard Own"
    assert whose("place", "Amber Wren, port") == "Parts on Amber Wren, port"


def test_the_picture_does_not_rest_on_colour(bearings: tuple[Ageing, StandingOut]) -> None:
    table = drawn(bearings[1].table)
    assert table["factor"].is_monotonic_increasing
    assert "Sandrick Lagoon" in set(table["level"])
    figure = figures.factors(table)
    symbols = [{name.removesuffix("-open") for name in trace.marker.symbol}
               for trace in figure.data]  # fmt: skip
    assert all(len(one) == 1 for one in symbols)
    assert len(set.union(*symbols)) == len(figure.data) > 1
    assert sum(len(trace.x) for trace in figure.data) == len(table)
    # Full points are those that are named.
    sure = {
        name
        for trace in figure.data
        for name, symbol in zip(trace.text, trace.marker.symbol, strict=True)
        if not symbol.endswith("-open")
    }
    assert "base: Sandrick Lagoon" in sure
    assert len(sure) == (table[["chance_shorter", "chance_longer"]].max(axis=1) >= 0.9).sum()
    low = figure.layout.xaxis.range[0]
    assert low < np.log10(table["factor_low"].min())


def test_long_names_have_room(bearings: tuple[Ageing, StandingOut]) -> None:
    table = drawn(bearings[1].table)
    short = table[table["level"].str.len() <= 16]
    plain_rows = figures.factors(short).layout.height
    assert plain_rows == 110 + figures.ROW * len(short)
    long = short.assign(level="Honest Quince, starboard")
    assert figures.factors(long).layout.height == 110 + figures.TALL_ROW * len(short)
    assert set(figures.factors(long).layout.yaxis.ticktext) == {"Honest Quince,<br>starboard"}
