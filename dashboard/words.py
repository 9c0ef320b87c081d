"""What the pages say; plain words, no Streamlit and no computation."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

import pandas as pd

from analytics.ageing.fit import FEW, Ageing
from analytics.ageing.nonparametric.kaplan_meier import WIDE_START_YEARS
from analytics.ageing.summary import KeyFigures
from analytics.papers.words import POSITION_LABELS, count
from analytics.records.findings import Finding
from analytics.records.kinds import Kind
from analytics.records.seasons import Season
from analytics.records.settings import FILE, Rates, Settings

SEASON_LEAD = "Which boats to look at first, and how sure that is."
AGEING_LEAD = "How long each kind of part lasts in these records, and how much they can tell."
BOATS_LEAD = "Every boat and every part in service, with the risk of the season."
BUDGET_LEAD = "Parts and money for the coming seasons: committed, forecast and contingency."
RECORDS_LEAD = "What was taken from the files, what was not, and why."

FOLDER_HELP = (
    "The folder with the fleet's files: exports as they come, once the page Bring in exports has "
    "said how they are read, or boats.csv and parts.csv, or a workbook with these sheets."
)
UPLOAD_HELP = (
    "boats.csv and parts.csv at least; fleet.toml, hours.csv, lifts.csv, prices.csv and the others "
    "if you have them. Text files, XLSX and ODS workbooks, and both packed by gzip or zip. "
    "They stay on this machine."
)
FILES_LEAD = (
    "What was detected in each file. Where it is wrong, set it in a section such as "
    '`[files."parts.csv"]` of fleet.toml; the README lists the keys.'
)
UPLOAD_IN_USE = "The uploaded files are used in place of the folder. Remove them to go back to it."

REFUSED = "These records cannot give an answer yet. What stands in the way:"
REFUSED_NEXT = (
    "Mend the files and press **R**, or name another folder in the sidebar "
    "(on a narrow screen behind the arrows at the top left)."
)

NO_PARTS = (
    "No part in these records is still in service, so nothing can fail this season. If parts are "
    "fitted, their rows need a blank `removed_on`, and their boats a blank `left_on`."
)
PRIOR_ONLY = (
    "The drawn curve is what is believed **before** these records. The records' own steps are "
    "dashed: they are not a fit. Risks on the other pages use the prior with the little these "
    "records add."
)
KAPLAN_MEIER = (
    "The steps are the records' own curve (Kaplan-Meier), without any assumed form: each life is "
    "counted only while it was watched. Where line and steps part, trust the line less. Below the "
    "axis: how many lives were watched at that age."
)
HAZARD_CAPTION = (
    "How fast parts that are still sound fail at each age. A rising line means wear-out; a flat "
    "one would mean that age tells nothing. Accidents are not in it."
)
KEY_FIGURES = (
    "Each figure is a middle value with its likely range (90 %). Shape: below 1, parts fail "
    "young; at 1 their age tells nothing; above 1 they wear out, the sharper the higher. The "
    "column of the records alone, where there is one, uses no prior and takes every failure as "
    "wear-out."
)

FILTER_HELP = (
    "The curves are fitted again on the lives chosen, for this page only. The other pages keep "
    "using all lives."
)
NOT_KNOWN = "not known"
"""Stands where money cannot be said; 0 would be a lie."""

ATTENTION_LEAD = (
    "What matters most first. Choose a line to see its rows; names, words, cells and rows are "
    "decided on in the page **Bring in exports**."
)
NOTHING_FOUND = "Nothing: every row was read as it stands."


def plain(text: object) -> str:
    """A text from the user's files, so that no mark in it is taken for markup or for a picture."""
    # A line of its own could begin a heading or a list.
    one_line = re.sub(r"\s*[\r\n\x0b\x0c\x85\u2028\u2029]\s*", " ", str(text))
    marked = re.sub(r"([\\`*_\[\]<>$!~|])", r"\\\1", one_line)
    # An escaped colon would still begin the name of an icon; a joiner that takes no room ends that.
    return re.sub(r":(?=[A-Za-z])", ":\u2060", marked)


def in_file_name(text: str) -> str:
    """A text as part of a file's name: small letters and digits of any script."""
    return re.sub(r"\W+", "_", text.lower()).strip("_")


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


def part(kind: Kind, position: str) -> str:
    """A part within its boat: "bellows, port"."""
    side = POSITION_LABELS.get(position, position)
    return f"{kind.label.lower()}, {side}" if side else kind.label.lower()


def limit(kind: Kind) -> str:
    """A kind's limit and whose it is."""
    whose = f"set in {FILE}" if kind.limit_from == FILE else kind.limit_from
    if kind.limit is not None:
        return f"limit {kind.limit:,g} {kind.unit} ({whose})"
    if kind.limit_years is not None:
        return f"limit {kind.limit_years:g} years ({whose})"
    return "no age limit given"


def counted(fitted: Ageing) -> str:
    """The lives behind a curve."""
    unknown = int((fitted.table["outcome"] == "unknown").sum())
    told = f", {unknown:,} removed without a reason" if unknown else ""
    return (
        f"{count(fitted.lives, 'life', 'lives')}: {fitted.failures:,} failed "
        f"({fitted.worn_out:,} of them surely later than a bad fit shows), {fitted.accidents:,} "
        f"lost to an accident{told}, {fitted.censored - unknown:,} still sound when last seen."
    )


def watched_from_new(watched: int, lives: int) -> str:
    """Why fewer lives stand under age 0 than there are."""
    if watched >= lives:
        return ""
    return (
        f"{count(watched, 'life was', 'lives were')} watched from new; the others came under watch "
        "at a later age."
    )


def left_out(number: int, failed: int, *, fitted: bool) -> str:
    """Lives too vague to draw, how many of them failed, and whether the line uses them."""
    years = "a year and a half" if WIDE_START_YEARS == 1.5 else f"{WIDE_START_YEARS:g} years"
    ended = f"{failed:,} of them failed" if failed else "none of them failed"
    used = " The fitted line does use them." if fitted else ""
    if number == 1:
        ended = "it failed" if failed else "it did not fail"
        used = used.replace("them", "it")
    return (
        f"{count(number, 'life is', 'lives are')} not in the steps ({ended}), because "
        f"{'its' if number == 1 else 'their'} day of fitting is not known to within {years}.{used}"
    )


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


def finding(one: Finding) -> str:
    """A finding as a line of a page: what is there, what should be, what to do."""
    place = f"**{plain(one.file)}**" + (f", row {one.row:,}" if one.row is not None else "")
    field = f", {plain(one.field)}" if one.field else ""
    if one.found == "no such file":
        there = ": not there."
    elif one.found.startswith("no "):
        there = f": {plain(one.found)}."
    else:
        there = f": found {plain(one.found)}." if one.found else "."
    return (
        f"{place}{field}{there} Expected {plain(one.expected)}. **What to do:** {plain(one.remedy)}"
    )


def finding_of(row: pd.Series) -> Finding:
    """A row of the table of findings as a finding."""
    cells = {str(name): cell for name, cell in row.items()}
    also = tuple(map(int, filter(None, str(row["also"]).split(", "))))
    number = None if pd.isna(row["row"]) else int(row["row"])
    return Finding(**cells | {"row": number, "also": also})


def found(findings: pd.DataFrame) -> str:
    """How many findings of each sort."""
    counts = findings["done"].value_counts()
    listed = ", ".join(f"{number:,} {done}" for done, number in counts.items())
    return f"{count(len(findings), 'finding')}: {listed}. Tick a row to read it in full."


def source(place: str) -> str:
    """The file and row that a life came from: "parts.csv row 12"."""
    file, _, row = place.rpartition(":")
    return f"{file} row {row}"


def unexpected(error: Exception) -> str:
    """A fault of the program, said so."""
    return (
        "This page could not be made; the fault is the program's, not yours. Look at “What was "
        "read” for a row that looks odd, try the folder without the file changed last, and report "
        f"this line to whoever looks after the program: {type(error).__name__}: {plain(error)}"
    )


def upload_unknown(names: Sequence[str]) -> str:
    """Uploaded files in which no table was found, or that nobody looked into."""
    return (
        f"Not read, because it holds no table of a fleet folder: {plain(', '.join(names))}. "
        "Rename the file or its sheet if it is one of boats, parts, hours, readings, prices, "
        "lifts, slots, bookings."
    )


def boundary(kind: Kind) -> str:
    """What counts as inside a part of this kind."""
    return plain(f"{kind.label}: {kind.boundary}. Aged by {kind.unit}; {limit(kind)}.")


def prices(currency: str, rates: Rates) -> str:
    """The currency, and what is known of the prices."""
    known = [
        f"{what} {value}" if value != "not given" else ""
        for what, value in (("of", rates.price_date), ("tax:", rates.tax))
    ]
    if not any(known):
        return f"{currency}; price date and tax not given"
    told = [
        text or f"{what} not given" for text, what in zip(known, ("price date", "tax"), strict=True)
    ]
    return "; ".join([currency, *told])


def fingerprint(digest: str) -> str:
    """The mark by which these files can be told from others."""
    return (
        f"Fingerprint of the files: {digest[:16]}. The same files give the same fingerprint and "
        "the same numbers."
    )
