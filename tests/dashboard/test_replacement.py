"""The page on when to replace: its numbers are those of `analytics.job`, told in plain words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from analytics import job
from analytics.ageing.curves import BAND
from analytics.ageing.fit import FleetAgeing
from analytics.decisions.policies import Compared, comparison
from analytics.decisions.replacement_groups import ALL, GroupAge
from analytics.outlook.futures import N_FUTURES
from analytics.papers import policies as rules_say
from analytics.papers import replacement as says
from dashboard import results
from dashboard.replacement import (
    ages_figures,
    ages_tables,
    policies_figures,
    policies_tables,
    words,
)
from tests.dashboard.pages import charts, named, opened, said, values


@pytest.fixture(scope="module")
def ages(sample: job.Fleet, sample_ageing: FleetAgeing) -> tuple[GroupAge, ...]:
    return job.replacement_ages_of(sample, sample_ageing)


@pytest.fixture(scope="module")
def page(sample_folder: Path) -> AppTest:
    with pytest.MonkeyPatch.context() as environment:
        environment.setenv("TIDEWORN_FOLDER", str(sample_folder))
        return opened("replacement")


def one_of(ages: tuple[GroupAge, ...], kind: str, base: str = ALL) -> GroupAge:
    return next(one for one in ages if (one.kind.name, one.base) == (kind, base))


def test_the_page_shows_the_ages_of_the_job(page: AppTest, ages: tuple[GroupAge, ...]) -> None:
    assert not page.exception
    assert not page.error
    bellows = one_of(ages, "bellows")
    headings = [heading.value for heading in page.subheader]
    assert headings[0] == says.heading(bellows)
    assert words.EVERY_KIND in headings
    table = next(each.value for each in page.dataframe if "Limit that stands" in each.value)
    assert len(table) == len(ages)
    shown = table[(table["Kind"] == "Bellows") & (table["Base"] == "all bases")].iloc[0]
    assert bellows.found is not None
    assert shown["Saves a year"] == pytest.approx(bellows.found.saving.mean())
    curve = named(charts(page)[0], ages_figures.RENEWED)
    drawn = bellows.found.cost.mean(axis=0)[: len(values(curve["y"]))]
    assert values(curve["y"]).tolist() == pytest.approx(drawn.tolist())


def test_the_page_compares_rules_on_the_futures_that_are_kept(
    page: AppTest, sample_folder: Path
) -> None:
    # Taken from the store, where the page has put it: that it is the job's see `test_policies`.
    found = results.policies(results.of_folder(sample_folder), 0.10)
    assert found.n_futures == N_FUTURES
    table = comparison(found, "EUR")
    shown = next(each.value for each in page.dataframe if "Rule" in each.value)
    cost = table[table["measure"] == "cost"]
    assert shown["All costs"].tolist() == pytest.approx(cost["mean"].tolist())
    assert shown["Costs change"].tolist() == pytest.approx(cost["difference"].tolist())
    text = said(page)
    assert "With the limits as set" in text
    assert "futures" in text
    assert "not an inspection" in text


def test_another_kind_and_base_and_a_clock_of_hours(
    page: AppTest, ages: tuple[GroupAge, ...]
) -> None:
    at = page.selectbox(key="replace kind").set_value("face_seal").run()
    at = at.radio(key="replace per").set_value(words.PER[1]).run()
    seal = one_of(ages, "face_seal")
    assert at.subheader[0].value == says.heading(seal)
    assert seal.found is not None
    curve = named(charts(at)[0], ages_figures.RENEWED)
    per_hours = seal.found.per_thousand(seal.found.cost.mean(axis=0))
    assert values(curve["y"])[0] == pytest.approx(per_hours[0])
    at = at.selectbox(key="replace base").set_value("Quillhaven").run()
    assert at.subheader[0].value == says.heading(one_of(ages, "face_seal", "Quillhaven"))
    # A base that the next kind has not is forgotten, not an error.
    at = at.selectbox(key="replace kind").set_value("bellows").run()
    assert not at.exception


def sentences(one: GroupAge, sample: job.Fleet) -> str:
    return " ".join(says.sentences(one, sample.records.settings))


def test_what_is_said_of_limits(ages: tuple[GroupAge, ...], sample: job.Fleet) -> None:
    hose = one_of(ages, "gland_hose")
    told = sentences(hose, sample)
    assert says.SHORTER_WINS in told
    assert "The limit of 12 years (set in fleet.toml) costs EUR" in told
    assert f"more per part and year than {hose.best:g} years" in told
    shorter = replace(hose, limit=3.0)
    assert "the limit of 3 years stands" in says.heading(shorter)
    assert f"{hose.best:.0f} years is the cheaper age" in says.heading(hose)
    assert hose.best is not None
    same = replace(hose, limit=hose.best)
    assert "is the age of least cost as well" in sentences(same, sample)
    assert "cheaper" not in says.heading(same)
    assert "No age limit is set" in sentences(one_of(ages, "face_seal"), sample)


def test_what_is_said_where_age_gains_nothing(
    ages: tuple[GroupAge, ...], sample: job.Fleet
) -> None:
    packing, bearing = one_of(ages, "packed_gland"), one_of(ages, "cutless_bearing")
    assert "gains nothing" in says.heading(packing)
    assert "Age replacement gains nothing" in sentences(packing, sample)
    assert "without a tow" in sentences(bearing, sample)
    assert "clearance" in sentences(bearing, sample)
    limited = replace(packing, limit=4.0)
    assert "than running until it fails" in sentences(limited, sample)
    assert "the limit of 4 years stands; no age costs clearly less" in says.heading(limited)


def test_a_kind_on_its_prior_and_one_without_a_price_say_so(
    ages: tuple[GroupAge, ...], sample: job.Fleet
) -> None:
    bellows = one_of(ages, "bellows")
    assert says.heading(replace(bellows, rests_on_prior=True)).endswith(says.ON_PRIOR)
    assert says.ON_PRIOR not in says.heading(bellows)
    unpriced = replace(bellows, found=None, unpriced=bellows.parts)
    assert says.NO_PRICE in sentences(unpriced, sample)
    assert "for want of a price" in says.heading(unpriced)
    assert "1 part has no price and is left out" in sentences(replace(bellows, unpriced=1), sample)


def test_a_headline_claims_no_gain_that_may_be_nothing(ages: tuple[GroupAge, ...]) -> None:
    bellows = one_of(ages, "bellows")
    assert bellows.found is not None
    assert bellows.limit is not None
    low, high = np.quantile(bellows.found.dearer(bellows.limit), BAND)
    assert low <= 0 <= high, "the sample's limit costs about as much, or this test says nothing"
    first, last = bellows.found.about_as_good
    assert says.heading(bellows) == (
        f"Bellows: the limit of {bellows.limit:.0f} years stands; {first:.0f} to {last:.0f} years "
        "cost about the same"
    )
    # Without a limit, and with a gain over running to failure that may be nothing.
    found = bellows.found
    doubtful = replace(found, to_failure=found.at(found.best) + np.linspace(-20, 80, 1000))
    unsure = replace(bellows, limit=None, found=doubtful)
    assert "no clear gain by age" in says.heading(unsure)
    sure = replace(bellows, limit=None)
    assert "the cheaper age is the lay-up lift" in says.heading(sure)


def test_the_earliest_lift_looked_at_is_named(
    ages: tuple[GroupAge, ...], sample: job.Fleet
) -> None:
    bellows = one_of(ages, "bellows")
    assert bellows.found is not None
    later = np.array(bellows.found.cost)
    later[:, 1:] += 1e6
    dear = replace(bellows.found, cost=later, to_failure=bellows.found.to_failure + 1e6)
    first = replace(bellows, parts=6, found=dear)
    named_so = "1 year (earliest lift looked at; 6 parts in service)"
    assert f"{named_so} is the cheaper age" in says.heading(first)
    assert named_so in sentences(first, sample)
    assert "earliest" not in sentences(bellows, sample)


def test_costs_a_year_are_named_as_those_of_the_long_run(
    ages: tuple[GroupAge, ...], sample: job.Fleet
) -> None:
    for kind in ("bellows", "packed_gland"):
        assert f"per part and year ({says.LONG_RUN})" in sentences(one_of(ages, kind), sample)
    assert says.LONG_RUN in words.CURVE
    assert says.LONG_RUN in words.stands_caption("EUR")


def test_a_difference_that_rounds_to_nothing_is_none(few: Compared) -> None:
    table = comparison(few, "EUR")
    one = (table["policy"] == few.outcomes[1].rule.name) & (table["measure"] == "failures")
    table.loc[one, ["difference", "difference_low", "difference_high"]] = [-0.02, 0.0, 0.0]
    assert "no fewer failures; " in rules_say.beside_today(table, few, "EUR")[0]
    table.loc[one, ["difference", "difference_low", "difference_high"]] = [-0.02, -1.0, 1.0]
    told = rules_say.beside_today(table, few, "EUR")[0]
    assert "no fewer failures (1 fewer to 1 more)" in told


def test_groups_speak_of_association(ages: tuple[GroupAge, ...], sample: job.Fleet) -> None:
    told = sentences(one_of(ages, "bellows", "Quillhaven"), sample)
    assert "goes together with the base; it may not be because of it" in told
    assert "Quillhaven: 5 years" in says.bases_differ(ages, "bellows")
    assert says.bases_differ(ages, "gland_hose") == ""


def test_nothing_is_called_safe(ages: tuple[GroupAge, ...], sample: job.Fleet) -> None:
    settings = sample.records.settings
    for one in ages:
        told = f"{says.heading(one)} {sentences(one, sample)}".lower()
        assert not any(word in told for word in ("safe", "seaworthy", "certified"))
    assert settings.as_of is not None


def test_the_picture_marks_limit_and_least_cost_by_more_than_colour(
    ages: tuple[GroupAge, ...],
) -> None:
    hose = one_of(ages, "gland_hose")
    figure = ages_figures.cost_by_age(hose, "EUR").to_dict()
    assert any("limit 12 years" in note["text"] for note in figure["layout"]["annotations"])
    least = next(trace for trace in figure["data"] if str(trace.get("name")).startswith("least"))
    assert least["marker"]["symbol"] == "diamond"
    assert "EUR" in figure["layout"]["yaxis"]["title"]["text"]
    # Where age gains nothing no age is marked as best.
    packing = ages_figures.cost_by_age(one_of(ages, "packed_gland"), "EUR").to_dict()
    assert not any(str(trace.get("name")).startswith("least") for trace in packing["data"])


def test_the_table_of_every_kind_says_nothing_where_there_is_no_limit(
    ages: tuple[GroupAge, ...],
) -> None:
    html = ages_tables.stands(ages).to_html()
    assert "-0<" not in html
    assert "nan" not in html
    assert "not known" not in html


@pytest.fixture(scope="module")
def few(sample: job.Fleet, sample_ageing: FleetAgeing, ages: tuple[GroupAge, ...]) -> Compared:
    some = {key: one for key, one in sample_ageing.items() if key[0] == "bellows"}
    return job.policies_of(sample, some, ages, seasons=2, n_futures=100, own={})


def test_what_is_said_of_rules(few: Compared) -> None:
    table = comparison(few, "EUR")
    told = rules_say.beside_today(table, few, "EUR")
    assert len(told) == len(few.outcomes) - 1
    assert told[0].startswith("Run until it fails: about ")
    assert "cheaper in" in told[0]
    assert "over 2 seasons, 2027 to 2028" in rules_say.today(table, few, "EUR")
    assert rules_say.horizon(few, 1) == "season 2027"
    nothing = table.assign(difference=0.0)
    assert "the same as the limits as set" in rules_say.beside_today(nothing, few, "EUR")[0]


def test_the_picture_of_rules_shows_differences_with_their_ranges(few: Compared) -> None:
    table = comparison(few, "EUR")
    figure = policies_figures.differences(table, few, "cost", "EUR").to_dict()
    (marks,) = figure["data"]
    rows = table[(table["measure"] == "cost") & (table["policy"] != "as_set")]
    assert values(marks["x"]).tolist() == pytest.approx(rows["difference"].tolist())
    upper = values(marks["x"]) + values(marks["error_x"]["array"])
    assert upper.tolist() == pytest.approx(rows["difference_high"].tolist())
    html = policies_tables.rules(table, few).to_html()
    assert "limits as set" in html
