"""What the pages say; plain words, no Streamlit and no computation."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date, timedelta

import pandas as pd

from analytics.ageing.fit import FEW, Ageing
from analytics.ageing.summary import KeyFigures
from analytics.outlook.futures import N_FUTURES
from analytics.outlook.season import SeasonRisk
from analytics.papers.words import POSITION_LABELS, age, in_a_hundred, money
from analytics.records.findings import Finding
from analytics.records.kinds import Kind
from analytics.records.seasons import Season
from analytics.records.settings import FILE, Settings

SEASON_LEAD = "Which boats to look at first, and how sure that is."
AGEING_LEAD = "How long each kind of part lasts in these records, and how much they can tell."
BOATS_LEAD = "Every boat and every part in service, with the risk of the season."
BUDGET_LEAD = "Parts and money for the coming seasons, and what to order by when."
RECORDS_LEAD = "What was taken from the files, what was not, and why."

FOLDER_HELP = "The folder that holds boats.csv and parts.csv; the other files are optional."
UPLOAD_HELP = (
    "boats.csv and parts.csv at least; fleet.toml, hours.csv, lifts.csv, prices.csv and the others "
    "if you have them. They stay on this machine."
)
UPLOAD_IN_USE = "The uploaded files are used in place of the folder. Remove them to go back to it."

REFUSED = "These records cannot give an answer yet. What stands in the way:"
REFUSED_NEXT = (
    "Mend the files and press **R**, or name another folder in the sidebar "
    "(on a narrow screen behind the arrows at the top left)."
)

BY_RISK, BY_COST = "by risk", "by expected cost"

ORDER_HELP = (
    "By risk: the chance that at least one part of the boat fails in the season. By expected cost: "
    "each part's risk times what its failure would cost, added up, so that a part that only weeps "
    "counts less than one that stops the boat."
)

FIELD_LABELS = {
    "base": "base",
    "lay_up": "lay-up",
    "water": "water",
    "lot": "lot",
    "size": "size",
    "part_no": "part number",
}

NO_PARTS = (
    "No part in these records is still in service, so nothing can fail this season. If parts are "
    "fitted, their rows need a blank `removed_on`, and their boats a blank `left_on`."
)
NO_PRICE_IN_COST = (
    "No part has a price, so these costs leave the parts themselves out: labour, lifts, tows and "
    "lost days only. Add `prices.csv`."
)
NO_PRICES = (
    "No part has a price, so only quantities are shown. Add `prices.csv` (part number or kind, "
    "price, labour hours, lead time) to see money."
)
PRIOR_ONLY = (
    "The drawn curve is what is believed **before** these records. The records' own steps are "
    "dashed: they are not a fit. Risks on the other pages use the prior with the little these "
    "records add."
)
KAPLAN_MEIER = (
    "The steps are the records' own curve (Kaplan-Meier), without any assumed form: each life is "
    "counted only while it was watched. Where line and steps part, trust the line less."
)
HAZARD_CAPTION = (
    "How fast parts that are still sound fail at each age. A rising line means wear-out; a flat "
    "one would mean that age tells nothing. Accidents are not in it."
)
P_WORDS = (
    "P80 is the amount that suffices in 80 of 100 simulated futures, P50 in 50, P95 in 95. Such "
    "amounts do not add up: the fleet's P80 is not the sum of the P80 of its lines."
)
KEY_FIGURES = (
    "Each figure is a middle value with its likely range (90 %). Shape: below 1, parts fail "
    "young; at 1 their age tells nothing; above 1 they wear out, the sharper the higher. The "
    "column of the records alone, where there is one, uses no prior and takes every failure as "
    "wear-out."
)

BOATS_CAPTION = (
    "Dot: the best estimate. Bar: likely range (90 %). Below each boat: the part that contributes "
    "most."
)
FILTER_HELP = (
    "The curves are fitted again on the lives chosen, for this page only. The other pages keep "
    "using all lives."
)
KINDS_HELP = "The risk of a boat is then joined over parts of these kinds only."
PICK_A_BOAT = "Click a heading to sort; tick a row, or choose below the table, to look into a boat."
NONE_PAST = "No part is past a limit."
NO_BOAT = "No boat is left with these filters: choose fewer bases or a lower risk."
CONSEQUENCE = (
    "Cost of a failure: part and labour out of turn; for a part that stops the boat also a lift, "
    "a tow and lost charter days. Damage by water is not in it. An age given as a range is a part "
    "whose day of fitting is not known; its limit is judged on the older end."
)
PLANNED = (
    "Planned: renewed at the lay-up lift because the limit is reached. Unplanned: failed, or lost "
    f"to an accident. Bars are means over {N_FUTURES:,} simulated futures."
)
NOTHING_FOUND = "Nothing: every row was read as it stands."


def plain(text: object) -> str:
    """A text from the user's files, so that no mark in it is taken for markup or for a picture."""
    marked = re.sub(r"([\\`*_\[\]<>$!~|])", r"\\\1", str(text))
    # An escaped colon would still begin the name of an icon; a joiner that takes no room ends that.
    return re.sub(r":(?=[A-Za-z])", ":\u2060", marked)


def day(when: date) -> str:
    """A day as people write it."""
    return f"{when.day} {when:%B %Y}"


def month_day(when: tuple[int, int]) -> str:
    """A day of any year: "1 April"."""
    return f"{when[1]} {date(2001, *when):%B}"


def demo(settings: Settings) -> str:
    """The notice that the fleet is invented."""
    return plain(settings.note) or "Demo data, invented: no such boats, people or places."


def watched_until(settings: Settings) -> str:
    """Whose records, and up to when."""
    assert settings.as_of is not None
    return f"{plain(settings.name)}. Records up to {day(settings.as_of)}."


def season_option(season: Season) -> str:
    """A season in the sidebar's list."""
    return (
        f"{season.year}: {season.start.day} {season.start:%b} to {season.end.day} {season.end:%b}"
    )


def window(season: Season, as_of: date) -> str:
    """The days at risk: the season, or what is left of it."""
    start = max(season.start, as_of + timedelta(days=1))
    if start.year == season.end.year:
        return f"{start.day} {start:%B} to {day(season.end)}"
    return f"{day(start)} to {day(season.end)}"


def several(number: int, noun: str) -> str:
    """A count and its noun: "1 boat", "54 boats"."""
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"


def part(kind: Kind, position: str) -> str:
    """A part within its boat: "bellows, port"."""
    side = POSITION_LABELS.get(position, position)
    return f"{kind.label.lower()}, {side}" if side else kind.label.lower()


def expected(amount: float) -> str:
    """A number of failures to come, with a decimal only where it matters."""
    if amount < 0.1:
        return "0.1 or fewer"
    return f"{amount:.1f}" if amount < 3 else f"{amount:.0f}"


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


def behind(risk: SeasonRisk) -> str:
    """What those failures are spread over, and how many could let water in."""
    parts, boats = risk.parts, risk.boats
    share = float(parts.loc[parts["can_flood"].astype(bool), "risk"].sum())
    return (
        f"They come from {several(len(parts), 'part')} in service on "
        f"{several(len(boats), 'boat')}; about {expected(share)} of them would be of parts that "
        "can let water in."
    )


def standing_out(boats: pd.DataFrame) -> str:
    """Which boats are highest, and whether their order is firm."""
    first, *others = boats.head(3).to_dict("records")
    chance = in_a_hundred(first["risk"], first["risk_low"], first["risk_high"])
    named = f"**{plain(first['boat'])}**, {chance}"
    for row in others:
        named += (
            f", then **{plain(row['boat'])}**, {row['risk'] * 100:.0f} "
            f"({row['risk_low'] * 100:.0f} to {row['risk_high'] * 100:.0f})"
        )
    overlapping = int((boats["risk_high"].iloc[1:] >= boats["risk_low"].iloc[0]).sum())
    if len(boats) == 1:
        firm = ""
    elif overlapping == 0:
        firm = " No other boat's range reaches the first one's."
    else:
        number = "one other boat" if overlapping == 1 else f"{overlapping} other boats"
        firm = f" The range of {number} reaches the first one's, so their order is not firm."
    return f"Highest, with the chance that at least one part fails: {named}.{firm}"


def past_limit(parts: pd.DataFrame) -> str:
    """How many parts are older than a limit allows."""
    number = int(parts["past_limit"].sum())
    return f"{several(number, 'part')} past a limit, whatever the risk." if number else NONE_PAST


def limit(kind: Kind) -> str:
    """A kind's limit and whose it is."""
    whose = f"set in {FILE}" if kind.limit_from == FILE else kind.limit_from
    if kind.limit is not None:
        return f"limit {kind.limit:,g} {kind.unit} ({whose})"
    if kind.limit_years is not None:
        return f"limit {kind.limit_years:g} years ({whose})"
    return "no age limit given"


def group(settings: Settings, name: str, of: str) -> str:
    """A kind, and its lot where that is fitted on its own."""
    label = settings.kind(name).label
    return label if of == "all" else f"{label}, {of} (fitted on its own)"


def narrowed(fitted: Ageing, whole: Ageing, label: str, value: str) -> str:
    """What looking at some lives only does."""
    return (
        f"Only lives with {label} **{plain(value)}**: {fitted.lives} of {whole.lives} are left and "
        "were fitted again, on their own. Fewer lives make wider ranges; a difference between "
        "groups may come from something else that differs between them. The other pages still use "
        "all lives."
    )


def counted(fitted: Ageing) -> str:
    """The lives behind a curve."""
    lives = "1 life" if fitted.lives == 1 else f"{fitted.lives:,} lives"
    return (
        f"{lives}: {fitted.failures} failed ({fitted.worn_out} of them surely later than a bad fit "
        f"shows), {fitted.accidents} lost to an accident, {fitted.censored} still sound when last "
        "seen."
    )


def left_out(number: int) -> str:
    """Lives too vague to draw."""
    lives = "One life is" if number == 1 else f"{number} lives are"
    return (
        f"{lives} not in the steps, because the day of fitting is known to less than a year and a "
        "half. The fitted line does use them."
    )


def accidents(kind: Kind, figures: KeyFigures) -> str:
    """The rate of accidents."""
    if "accident" not in kind.causes:
        return ""
    rate = figures.accidents
    return (
        f"They come at any age: about {rate.median * 100:.1f} a year in 100 parts "
        f"({rate.low * 100:.1f} to {rate.high * 100:.1f})."
    )


def few(fitted: Ageing) -> str:
    """That the records cannot say."""
    return (
        f"**Too few failures to say.** {fitted.worn_out} of these lives surely ended by wearing "
        f"out; {FEW} are needed before a curve means anything."
    )


def one_part(row: pd.Series, kind: Kind) -> str:
    """A part's risk in one sentence."""
    return (
        f"{plain(kind.label)}, fitted {fitted_on(row)}, now "
        f"{age(row['age_low'], row['age_high'], kind)} old: "
        f"{in_a_hundred(row['risk'], row['risk_low'], row['risk_high'])} that it fails in the "
        "season."
    )


def fitted_on(row: pd.Series) -> str:
    """The day of fitting, or the window of it."""
    low, high = row["start_lo"].date(), row["start_hi"].date()
    return day(low) if low == high else f"between {day(low)} and {day(high)}"


def first_season(budget_line: pd.Series, season: Season, currency: str) -> str:
    """The money of the first season."""
    return (
        f"Season {season.year}: about {money(budget_line['cost_mean'], currency)} for parts and "
        f"their fitting; {money(budget_line['cost_p80'], currency)} is enough in 80 of 100 "
        f"simulated futures, {money(budget_line['cost_p95'], currency)} in 95."
    )


def first_quantities(budget_line: pd.Series, season: Season) -> str:
    """The quantities of the first season, where nothing is priced."""
    return (
        f"Season {season.year}: about {budget_line['quantity_mean']:.0f} parts; "
        f"{budget_line['quantity_p80']:.0f} are enough in 80 of 100 simulated futures, "
        f"{budget_line['quantity_p95']:.0f} in 95."
    )


def unpriced(names: Sequence[str]) -> str:
    """Parts whose money is missing."""
    return (
        f"No price for {plain(', '.join(names))}: counted in the quantities, but **not in the "
        "money**. Add them to `prices.csv`."
    )


def finding(one: Finding) -> str:
    """A finding as a line of a page."""
    place = f"**{plain(one.file)}**" + (f", row {one.row}" if one.row is not None else "")
    field = f", {plain(one.field)}" if one.field else ""
    found = f" has {plain(one.found)}" if one.found else ""
    expects = f"expected {plain(one.expected)}"
    return f"- {place}{field}{found}; {expects}. **What to do:** {plain(one.remedy)}"


def unexpected(error: Exception) -> str:
    """A fault of the program, said so."""
    return (
        "This page could not be made; the fault is the program's, not yours. Look at “What was "
        "read” for a row that looks odd, try the folder without the file changed last, and report "
        f"this line to whoever looks after the program: {type(error).__name__}: {plain(error)}"
    )


def upload_unknown(names: Sequence[str]) -> str:
    """Uploaded files that no name is known for."""
    return (
        f"Not read, because no such file belongs to a fleet folder: {plain(', '.join(names))}. "
        "Rename it if it is one of boats.csv, parts.csv, hours.csv, readings.csv, prices.csv, "
        "lifts.csv, slots.csv, bookings.csv, fleet.toml."
    )


def before(season: Season, as_of: date) -> str:
    """What the column "before the season" covers."""
    begins = as_of + timedelta(days=1)
    if season.start <= begins:
        return (
            "The season has begun: its risk is that of the days left, and nothing comes before it."
        )
    return (
        f"Before the season: the chance of a failure from {day(begins)} until {day(season.start)}."
    )


def boundary(kind: Kind) -> str:
    """What counts as inside a part of this kind."""
    return plain(f"{kind.label}: {kind.boundary}. Aged by {kind.unit}; {limit(kind)}.")


def evidence(row: pd.Series) -> str:
    """Where a part's figures come from."""
    return (
        f"From {row['source'].replace(':', ' row ')}; curve of {row['lives']} lives, "
        f"{row['failures']} failures."
    )


def order_by(season: Season) -> str:
    """What the order-by day means."""
    return (
        f"Order by: the lead time before the lay-up lift on {day(season.lift_on)}. Expected is a "
        "mean; whole parts are in the next two columns."
    )


def found(findings: pd.DataFrame) -> str:
    """How many findings of each sort."""
    counts = findings["done"].value_counts()
    listed = ", ".join(f"{number} {done}" for done, number in counts.items())
    return f"{len(findings)} findings: {listed}."


def fingerprint(digest: str) -> str:
    """The mark by which these files can be told from others."""
    return (
        f"Fingerprint of the files: {digest[:16]}. The same files give the same fingerprint and "
        "the same numbers."
    )
