"""What the pages say of a season's risk: headline, boats, parts, limits; no Streamlit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import pandas as pd

from analytics.ageing.fit import FEW, Ageing, FleetAgeing
from analytics.ageing.summary import KeyFigures
from analytics.outlook.season import SeasonRisk
from analytics.papers import words as shared
from analytics.papers.words import count, money, percent
from analytics.records.seasons import Season
from analytics.records.settings import Settings
from dashboard.curves import AtAge
from dashboard.words import NOT_KNOWN, day, group, plain, source

BY_RISK, BY_COST = "by risk", "by expected cost"
BY_SEASONS_END = "by the season's end"
ORDERS = (BY_RISK, BY_COST, BY_SEASONS_END)

FEW_WATCHED = 10
"""Below so many lives watched at an age, the curve there is mostly shape (planning default)."""

ORDER_HELP = (
    "By risk: the chance that at least one part of the boat fails in the season. By expected cost: "
    "each part's risk times what its failure would cost, added up, so that a part that only weeps "
    "counts less than one that stops the boat. By the season's end: the chance that a part has "
    "failed already, unseen or before the season, or fails in it."
)
WORN_READING = (
    "By the season's end counts what may have failed already: boats with a part that is likely "
    "worn, though nobody has seen it, stand high here."
)
WORN_BELONG = (
    "The boats of this sentence belong to the order “by the season's end”, which counts what may "
    "have failed already; the order by risk counts only what is still to fail in the season."
)
NO_PRICE_IN_COST = (
    "No part has a price, so these costs leave the parts themselves and the labour out: lifts, "
    "tows and lost days only. Add `prices.csv`."
)
LATER_SEASON = (
    "**This supposes that nothing is renewed until then, so most parts would have failed before.** "
    "For seasons to come see Parts budget."
)
IN_THE_RANGE = (
    "The ranges cover what is not known of the curve, of the base, water, lay-up, lot and shaft "
    "line, and of fitting dates; not records that are wrong, nor a future unlike the past."
)
KINDS_HELP = "The risk of a boat is then joined over parts of these kinds only."
PICK_A_BOAT = "Click a heading to sort; tick a row, or choose below the table, to look into a boat."
OPEN_A_BOAT = "Tick a row to see the parts of that boat."
CONSEQUENCE = (
    "Cost of a failure: part and labour out of turn; for a part that stops the boat also a lift, "
    "a tow and lost charter days. Damage by water is not in it. An age given as a range is a part "
    "whose day of fitting is not known; its limit is judged on the older end."
)


def chance(row: pd.Series) -> str:
    """A risk with its likely range: "12 % (likely 6 % to 21 %)"."""
    low, high = percent(row["risk_low"]), percent(row["risk_high"])
    return f"{percent(row['risk'])} (likely {low} to {high})"


def window(season: Season, as_of: date) -> str:
    """The days at risk: the season, or what is left of it."""
    start = max(season.start, as_of + timedelta(days=1))
    if start.year == season.end.year:
        return f"{start.day} {start:%B} to {day(season.end)}"
    return f"{day(start)} to {day(season.end)}"


def expected(amount: float) -> str:
    """A number of failures to come, with a decimal only where it matters."""
    if amount < 0.1:
        return "0.1 or fewer"
    return f"{amount:.1f}" if amount < 3 else f"{amount:,.0f}"


def headline(risk: SeasonRisk, as_of: date) -> str:
    """How many failures the season is expected to bring."""
    low, high = risk.likely_range
    shown = expected(risk.expected)
    verb = "is" if shown in ("1", "1.0") else "are"
    noun = "failure" if verb == "is" else "failures"
    return (
        f"About {shown} {noun} {verb} expected from {window(risk.season, as_of)} (likely {low} to "
        f"{high})."
    )


def besides(risk: SeasonRisk, as_of: date) -> str:
    """What comes before the season, or may be there already without anybody having seen it."""
    before, hidden = risk.expected_before, risk.expected_hidden
    if before < 0.05:
        return ""
    noun = "part" if expected(before) in ("1", "1.0") else "parts"
    if begun(risk.season, as_of):
        return (
            f"Besides these, about {expected(before)} {noun} may be worn already, of kinds that "
            "only a lift shows."
        )
    already = (
        f"; {expected(hidden)} of them, of kinds that only a lift shows, may be worn already"
        if hidden >= 0.05
        else ""
    )
    return (
        f"Besides these, about {expected(before)} {noun} may fail or prove worn before the season"
        f"{already}."
    )


def begun(season: Season, as_of: date) -> bool:
    """True where no day lies between the last one watched and the season."""
    return season.start <= as_of + timedelta(days=1)


def before(season: Season, as_of: date, parts: pd.DataFrame, settings: Settings) -> str:
    """What the column "before" covers."""
    kinds = [settings.kind(name) for name in parts["kind"].unique()]
    unseen = [plain(kind.label) for kind in kinds if kind.found_ashore_only]
    listed = ", ".join(unseen)
    if begun(season, as_of):
        said = "The season has begun: the risk is that of the days left."
        return f"{said} Before: {listed}, which may have worn since the last lift." if listed else (
            f"{said} Nothing comes before it."
        )  # fmt: skip
    start, since = day(season.start), day(as_of + timedelta(days=1))
    if not unseen:
        return f"Before: the chance that it fails before {start}, from {since} on."
    most = f" Most parts: from {since}." if len(unseen) < len(kinds) else ""
    return (
        f"Before: the chance that it has already failed, or fails, before {start}.{most} "
        f"{listed}: from the boat's last lift, because wear shows only ashore."
    )


def behind(risk: SeasonRisk) -> str:
    """What those failures are spread over, and how many could let water in."""
    parts, boats = risk.parts, risk.boats
    share = float(parts.loc[parts["can_flood"].astype(bool), "risk"].sum())
    return (
        f"The failures of the season come from {count(len(parts), 'part')} in service on "
        f"{count(len(boats), 'boat')}; about {expected(share)} of them would be of parts that can "
        "let water in."
    )


def standing_out(boats: pd.DataFrame) -> str:
    """Which boats are highest, and whether their order is firm."""
    first, *others = (row for _, row in boats.head(3).iterrows())
    named = f"**{plain(first['boat'])}**, {chance(first)}"
    for row in others:
        low, high = percent(row["risk_low"]), percent(row["risk_high"])
        named += f", then **{plain(row['boat'])}**, {percent(row['risk'])} ({low} to {high})"
    firm = _firmness(boats, "risk")
    return f"Highest, with the chance that at least one part fails: {named}.{firm}"


def costliest(boats: pd.DataFrame, currency: str) -> str:
    """Which boats stand for most money; `boats` in that order."""
    boats = boats[boats["expected_cost"].notna()]
    if boats.empty:
        return f"What failures would cost is {NOT_KNOWN}: no part has a price."
    first, *others = (row for _, row in boats.head(3).iterrows())
    low, high = first["expected_cost_low"], first["expected_cost_high"]
    named = (
        f"**{plain(first['boat'])}**, {money(first['expected_cost'], currency)} (likely {low:,.0f} "
        f"to {high:,.0f})"
    )
    for row in others:
        named += (
            f", then **{plain(row['boat'])}**, {row['expected_cost']:,.0f} "
            f"({row['expected_cost_low']:,.0f} to {row['expected_cost_high']:,.0f})"
        )
    firm = _firmness(boats, "expected_cost")
    return f"Costliest, by the expected cost of failures in the season: {named}.{firm}"


def _firmness(boats: pd.DataFrame, column: str) -> str:
    if len(boats) == 1:
        return ""
    reached = boats[f"{column}_high"].iloc[1:] >= boats[f"{column}_low"].iloc[0]
    if not reached.any():
        return " No other boat's range reaches the first one's."
    number = "one other boat" if reached.sum() == 1 else f"{int(reached.sum()):,} other boats"
    return f" The range of {number} reaches the first one's, so their order is not firm."


def highest_by_end(boats: pd.DataFrame) -> str:
    """Which boats most likely have a part that failed by the season's end; `boats` so ordered."""
    named = [
        f"**{plain(row['boat'])}**, {percent(row['risk_by_end'])}"
        for _, row in boats.head(3).iterrows()
    ]
    return (
        "Highest by the season's end, with the chance that a part has failed already or fails "
        f"by then: {', then '.join(named)}."
    )


def boats_caption(order: str) -> str:
    """How the figure of the boats is read."""
    if order == BY_SEASONS_END:
        return (
            "Dot: the best estimate; no range is worked out by the season's end. Below each boat: "
            "the part most likely to have failed by then."
        )
    which = "contributes most to the cost" if order == BY_COST else "contributes most"
    return (
        f"Dot: the best estimate. Bar: likely range (90 %). Below each boat: the part that {which}."
        f" {IN_THE_RANGE}"
    )


def how_sure(ageing: FleetAgeing, settings: Settings) -> str:
    """One line per kind; kinds with too few failures share one where there are several."""
    few = [key for key, one in ageing.items() if one.grade == "too few failures to say"]
    lines = [
        f"- **{plain(group(settings, *key))}.** {shared.how_sure(one)}"
        for key, one in ageing.items()
        if len(few) < 2 or key not in few
    ]
    if len(few) > 1:
        listed = ", ".join(
            f"{plain(group(settings, *key)).lower()} ({ageing[key].worn_out})" for key in few
        )
        lines.append(
            f"- **Too few failures to say:** {listed}. In brackets the worn-out failures; {FEW} "
            "are needed. What is said of these kinds is mostly the prior, not these records."
        )
    return "\n".join(lines)


def records_end(as_of: date) -> str:
    """That nobody said how far the records go."""
    return f"Records end on {day(as_of)} (the latest date in the files; set `as_of`)."


def past_limit(parts: pd.DataFrame, season: Season, as_of: date) -> str:
    """How many parts are past a limit now, and how many more will be."""
    now = parts["past_limit"].astype(bool)
    by_lift = parts["past_limit_at_lift"].astype(bool) | now
    by_end = parts["past_limit_by_end"].astype(bool) | by_lift
    first, more, later = (int(n.sum()) for n in (now, by_lift & ~now, by_end & ~by_lift))
    said = f"{'No part is' if not first else count(first, 'part is', 'parts are')} past a limit now"
    if lift := season.lift_after(as_of):
        said += (
            f"; {_more(more)} by the lift of {day(lift)}, {later or 'none'} more by "
            f"{day(season.end)}"
        )
    else:
        said += f"; {_more(more + later)} by {day(season.end)}"
    return f"{said}."


def _more(number: int) -> str:
    if not number:
        return "no more reach it"
    return f"{number:,} more {'reaches' if number == 1 else 'reach'} it"


def boats_left(number: int, total: int, bases: Sequence[str], *, kinds: bool, least: int) -> str:
    """How many boats the filters leave, and which filters those are."""
    said = count(number, "boat")
    if bases:
        said += f" of {plain(', '.join(bases))}"
    if kinds:
        said += " with these kinds"
    if least:
        said += f" at a risk of {least} % or more"
    return f"{said}, of {total:,}." if said != count(number, "boat") else f"{said}."


def no_boat(of_bases: pd.DataFrame, *, kinds: bool, least: int) -> str:
    """What to lower or widen where the filters leave no boat.

    Parameters
    ----------
    of_bases : DataFrame
        The boats that base and kind leave.
    """
    if of_bases.empty:
        return "No boat of these bases has such parts: choose other bases, or more kinds."
    highest = of_bases.iloc[0]
    which = " with these kinds" if kinds else ""
    return (
        f"No boat reaches {least} %. The highest{which} is {plain(highest['boat'])} at "
        f"{percent(highest['risk'])}: lower “Risk at least”"
        + (", or count more kinds." if kinds else ".")
    )


def one_part(row: pd.Series, fitted: Ageing, at: AtAge) -> str:
    """A part's age, limit and risk, and what the records hold of parts of that age."""
    kind = fitted.kind
    old = shared.age(row["age_low"], row["age_high"], kind)
    past = ""
    if row["past_limit"]:
        vague = row["age_low"] < row["age_high"]
        limit = f"{row['limit']:,g} {row['limit_unit']} ({plain(kind.limit_from)})"
        past = f" **It {'may be' if vague else 'is'} past its limit of {limit}.**"
    where = shared.age(at.age, at.age, kind)
    low, high = percent(at.failed_low), percent(at.failed_high)
    known = "Mostly by the prior, about" if fitted.rests_on_prior else "The curve says that about"
    first = f", and {percent(row['risk_before'])} before that" if row["risk_before"] > 0 else ""
    sentences = (
        f"{plain(kind.label)}, fitted {fitted_on(row)}, now {old} old.{past} The chance that it "
        f"fails in the season is {chance(row)}{first}. {known} {percent(at.failed)} of "
        f"typical parts fail before an age of {where} (likely {low} to {high})."
    )
    if at.watched < FEW_WATCHED:
        lives = (
            "No life was"
            if not at.watched
            else f"Only {count(at.watched, 'life was', 'lives were')}"
        )
        sentences += f" {lives} watched at {where}: the figure leans on the fitted shape."
    return sentences


def age_title(part: str) -> str:
    """Heading of a part's age on the curve of its kind."""
    return f"{part[:1].upper()}{part[1:]}: its age on the curve"


def fitted_on(row: pd.Series) -> str:
    """The day of fitting, or the window of it."""
    low, high = row["start_lo"].date(), row["start_hi"].date()
    return day(low) if low == high else f"between {day(low)} and {day(high)}"


def one_base(base: str, fitted: Ageing, figures: KeyFigures) -> str:
    """What the part's own base would say on its own."""
    life, digits = figures.life_10, 1 if fitted.kind.clock == "years" else 0
    return (
        f"{plain(base)} alone: 10 % by {life.median:,.{digits}f} {fitted.kind.unit} "
        f"({life.low:,.{digits}f} to {life.high:,.{digits}f}), "
        f"{count(fitted.failures, 'failure')}, {fitted.grade}."
    )


def evidence(row: pd.Series) -> str:
    """Where a part's figures come from."""
    return (
        f"From {plain(source(row['source']))}. Curve of all bases: "
        f"{count(int(row['lives']), 'life', 'lives')}, {count(int(row['failures']), 'failure')}."
    )
