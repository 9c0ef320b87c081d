"""What is said of the age of replacement: one sentence each, for page and terminal."""

from __future__ import annotations

from datetime import date

import numpy as np

from analytics.ageing.curves import BAND
from analytics.decisions.replacement_age import WORTH, Floats
from analytics.decisions.replacement_groups import ALL, GroupAge
from analytics.papers.words import count, money, percent
from analytics.records.settings import FILE, Settings

SHORTER_WINS = (
    "Of two written limits, the maker's and the fleet's own, the shorter wins unless a surveyor "
    "records otherwise; an age of least cost is no limit."
)
LONG_RUN = "long run; for the coming seasons see What if"

RUNS = "runs until it fails"
ASHORE_RUNS = "runs until a lift finds it worn"


def heading(one: GroupAge) -> str:
    """The limit that stands or the cheaper age, and on how much it rests, in one line."""
    said = f"{named(one)}: {_beside_limit(one) if one.limit is not None else _without_limit(one)}"
    return f"{said}; {ON_PRIOR}" if one.rests_on_prior and one.found is not None else said


def _beside_limit(one: GroupAge) -> str:
    assert one.limit is not None
    stands = f"the limit of {years(one.limit)} stands"
    if one.found is None:
        return f"{stands}; costs are not known, for want of a price"
    if one.best is None:
        return f"{stands}; no age costs clearly less than a part that {_run(one)}"
    if one.cheaper is not None:
        return f"{stands}; {years(one.best)}{_earliest(one)} is the cheaper age"
    first, last = one.found.about_as_good
    if first < last and first <= one.limit <= last:
        return f"{stands}; {first:.0f} to {years(last)} cost about the same"
    if one.best == one.limit:
        return f"{stands}, and costs least"
    return f"{stands}; {years(one.best)}{_earliest(one)} is not clearly cheaper"


def _without_limit(one: GroupAge) -> str:
    if one.found is None:
        return "not known, for want of a price"
    if one.best is None:
        return "replacing by age gains nothing"
    if one.cheaper is None:
        return f"no clear gain by age; least cost at {years(one.best)}{_earliest(one)}"
    return f"the cheaper age is the lay-up lift {years(one.best)}{_earliest(one)} after fitting"


def _earliest(one: GroupAge) -> str:
    """That no lift before it was looked at, and how few parts it is said of."""
    if one.found is None or one.best != one.found.shown[0]:
        return ""
    return f" (earliest lift looked at; {count(one.parts, 'part')} in service)"


def _run(one: GroupAge) -> str:
    return ASHORE_RUNS if one.kind.found_ashore_only else RUNS


def sentences(one: GroupAge, settings: Settings) -> list[str]:
    """What follows for one kind, at one base or everywhere; what matters most first."""
    if one.found is None:
        return [NO_PRICE, *_limit_alone(one)]
    said = [_best(one, settings.currency), *_how_sure(one), *_limits(one, settings.currency)]
    if one.kind.found_ashore_only:
        said.append(found_ashore(one))
    if one.base != ALL and any(bound != 1.0 for bound in one.factor):
        said.append(_base(one))
    if one.unpriced:
        said.append(
            f"{count(one.unpriced, 'part has', 'parts have')} no price and "
            f"{'is' if one.unpriced == 1 else 'are'} left out of the costs."
        )
    return said


def bases_differ(ages: tuple[GroupAge, ...], kind: str) -> str:
    """Which bases want another age than the fleet's; empty where none is told apart."""
    differing = [one for one in ages if one.kind.name == kind and one.differs]
    told = [f"{one.base}: {'no age' if one.best is None else years(one.best)}" for one in differing]
    if not told:
        return ""
    return (
        f"One age for all bases is not about as good everywhere. By cost alone, {'; '.join(told)}. "
        "That goes together with the base; it may not be because of it."
    )


def assumptions(settings: Settings, next_lift: date) -> list[str]:
    """What the cost by age takes for granted."""
    rates = settings.rates
    return [
        "Ages are looked at only where a lift can fall: whole years after a fitting at the "
        f"lay-up lift, the next on {next_lift}. For a part fitted in between it is the lift "
        "nearest to that age.",
        "Cost per year is the long run: what one renewal costs on average, over how long a part "
        "stays in, with renewals that age as these do (renewal-reward theorem).",
        "A planned renewal costs the part and its labour as a job done alone at the lay-up lift "
        f"({money(rates.labour_per_hour, settings.currency)} an hour). The lift itself is not in "
        "it, because the boat comes out anyway. Where the shaft is drawn for another job at the "
        "same lift the labour is less, and an earlier renewal gains more.",
        "A failure costs what it costs on the pages of risk: part and labour out of turn, and "
        "for a part that stops the boat the lift, the tow and the lost charter days. Damage by "
        "water inside the boat is in no average: where it would be large, renew earlier. Failures "
        "are shared out over the year, by its days or by days of use for a kind that ages by "
        "hours: out of season none loses charter days, and one on a boat that lies ashore then "
        "is found there and costs what a planned renewal does.",
        "Costs are means over the parts in service: sizes have prices of their own.",
        "Bands and ranges hold 90 % of what is believed of the curve; luck is not in them, since "
        "the long run evens it out.",
        f"A gain of less than {percent(WORTH)} of the cost is called none: nobody could tell it "
        "in the books.",
    ]


NO_PRICE = (
    "None of these parts has a price, so a renewal cannot be weighed against a failure. Add them "
    "to prices.csv."
)
ON_PRIOR = "the records say too little, and this rests on what was believed before them"


def named(one: GroupAge) -> str:
    """The kind, and the base where one is meant."""
    return one.kind.label if one.base == ALL else f"{one.kind.label}, {one.base}"


def years(number: float) -> str:
    """Whole years as people say them."""
    return count(round(number), "year")


def found_ashore(one: GroupAge) -> str:
    """What a failure costs where only a lift shows it."""
    same = one.found is not None and one.found.costs.failed <= one.found.costs.planned * 1.0001
    no_tow = (
        "Wear shows only ashore: a worn part stays in until the next lift finds it, so its failure "
        "is reckoned without a tow, a lift out of turn or lost days."
    )
    if not same:
        return no_tow
    return (
        f"{no_tow} In these costs it is no dearer to renew it worn than sound; what a worn part "
        "does to shaft, seal and comfort is not in them. Measure it at every lift and renew it by "
        "its clearance."
    )


def _best(one: GroupAge, currency: str) -> str:
    found = one.found
    assert found is not None
    run = _run(one)
    if found.gains_nothing:
        return (
            f"Age replacement gains nothing: at no age does renewing a sound part cost clearly "
            f"less than a part that {run}, {money(float(found.to_failure.mean()), currency)} per "
            f"part and year ({LONG_RUN})."
        )
    doubt = ", which may be nothing" if np.quantile(found.saving, BAND[0]) <= 0 else ""
    least, saved = (float(draws.mean()) for draws in (found.at(found.best), found.saving))
    return (
        f"Least cost at {years(found.best)}{_earliest(one)}{_in_hours(one, found.best)}: "
        f"{money(least, currency)} per part and year ({LONG_RUN}). A part that {run} costs "
        f"{money(saved, currency)} more ({interval(found.saving)}){doubt}."
    )


def _how_sure(one: GroupAge) -> list[str]:
    found = one.found
    if found is None or found.gains_nothing:
        return []
    first, last = found.about_as_good
    low, high = found.best_range
    good = years(first) if first == last else f"{first:.0f} to {years(last)}"
    edge = " or later" if high >= found.shown[-1] else ""
    spread = (
        f"is {years(low)}" if low == high else f"lies between {low:.0f} and {years(high)}{edge}"
    )
    return [f"About as good: {good}. For 90 % of what is believed the best age {spread}."]


def _limits(one: GroupAge, currency: str) -> list[str]:
    if one.limit is None:
        return [] if one.best is None else ["No age limit is set for this kind."]
    found = one.found
    assert found is not None
    whose = limit_named(one)
    beside = "running until it fails" if one.best is None else f"{years(one.best)}"
    extra = found.dearer(one.limit)
    if one.limit == one.best:
        return [f"{whose} is the age of least cost as well."]
    low, high = np.quantile(extra, BAND)
    told = f"{money(float(extra.mean()), currency)} ({interval(extra)})"
    cost = (
        f"{whose} costs {told} more per part and year than {beside}."
        if low > 0
        else f"{whose} costs about as much as {beside}: {told} more per part and year, which may "
        "be nothing."
        if high > 0
        else f"{whose} costs no more than {beside}."
    )
    return [f"{cost} {SHORTER_WINS}"]


def _limit_alone(one: GroupAge) -> list[str]:
    return [] if one.limit is None else [f"{limit_named(one)} stands."]


def limit_named(one: GroupAge) -> str:
    """The written limit, whose it is, and at which lift it falls."""
    kind, whose = one.kind, one.kind.limit_from
    given = f"set in {FILE}" if whose == FILE else whose
    assert one.limit is not None
    if kind.limit is not None and kind.clock == "hours":
        at = f"{kind.limit:,g} shaft hours, at the usual rate the lift at {years(one.limit)}"
    else:
        at = years(one.limit)
    return f"The limit of {at} ({given})"


def cheaper(one: GroupAge) -> str:
    """The cell of the cheaper age: years where it is clear, else why there is none."""
    if one.found is None:
        return "no price"
    if one.best is None:
        return "gains nothing"
    if one.best == one.limit:
        return "the limit"
    return "not clear" if one.cheaper is None else years(one.cheaper)


def interval(draws: Floats) -> str:
    """The 90 % range of an amount, in whole units."""
    low, high = (
        f"{bound:,.0f}".replace("-", "\N{MINUS SIGN}") for bound in np.quantile(draws, BAND)
    )
    return f"{low} to {high}".replace("\N{MINUS SIGN}0 ", "0 ")


def _in_hours(one: GroupAge, at: float) -> str:
    if one.kind.clock != "hours" or one.found is None:
        return ""
    return f" (about {at * one.found.units_per_year:,.0f} shaft hours at the usual rate)"


def _base(one: GroupAge) -> str:
    middle, low, high = one.factor
    told = "" if low > 1 or high < 1 else " That may be no difference at all."
    return (
        f"At {one.base} such parts last {middle:.2f} times as long as in the whole fleet "
        f"({low:.2f} to {high:.2f}).{told} This goes together with the base; it may not be because "
        "of it."
    )
