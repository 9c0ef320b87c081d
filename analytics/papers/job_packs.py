"""A sheet of paper for each boat that is lifted: what to pull, what to do, what to look at.

One HTML file without anything from outside it, printed a page a boat, in black on white. Every
text of the user's files is escaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

import pandas as pd

from analytics.decisions.haul_out.plan import Haul
from analytics.decisions.haul_outs import HaulOuts
from analytics.papers.cautions import AFTER_LAUNCH, CAUTIONS, NOT_AN_INSPECTION
from analytics.papers.files import notice
from analytics.papers.words import count, percent
from analytics.records.settings import Settings

LOOKED_AT = 0.1
"""Chance of being worn already from which a part is named to be looked at (planning default)."""

_BEFORE = [one for one in CAUTIONS if one not in (NOT_AN_INSPECTION, *AFTER_LAUNCH)]

_STYLE = """
body { font: 11pt/1.35 sans-serif; color: #000; background: #fff; margin: 1.5rem auto;
  max-width: 48rem; padding: 0 1rem; overflow-wrap: anywhere; }
h1 { font-size: 1.5rem; margin: 0 0 .2rem; } h2 { font-size: 1.1rem; margin: 1.1rem 0 .3rem; }
p { margin: .2rem 0 .5rem; }
table { border-collapse: collapse; width: 100%; font-size: 10pt; }
th, td { border: 1px solid #000; padding: .2rem .4rem; text-align: left; vertical-align: top; }
th { border-bottom-width: 2px; white-space: nowrap; }
.number { text-align: right; white-space: nowrap; }
ul { margin: .2rem 0; padding-left: 0; list-style: none; }
li { padding-left: 1.5rem; text-indent: -1.5rem; } li::before { content: "\\2610\\00a0\\00a0"; }
ul.plain li::before { content: "\\2013\\00a0\\00a0"; }
.caution { border: 2px solid #000; padding: .3rem .6rem; }
section { break-before: page; padding-top: 1rem; }
tr, li { break-inside: avoid; }
@media print { body { margin: 0; max-width: none; padding: 0; } a { color: #000; } }
@media screen { section { border-top: 3px solid #000; margin-top: 2.5rem; } }
@media screen and (max-width: 40rem) { body { font-size: 10.5pt; } }
"""


def job_packs(found: HaulOuts, jobs: pd.DataFrame, settings: Settings, fingerprint: str) -> str:
    """The sheets of all boats that are lifted, by week, after a list of what to pull for them.

    Parameters
    ----------
    jobs : DataFrame
        From `yard_tables.jobs_table`.
    fingerprint : str
        Of the records.

    Returns
    -------
    str
        An HTML document.
    """
    hauls = sorted(found.plan.hauls, key=lambda one: (one.week, one.boat))
    title = f"Job packs, {settings.name}, lay-up before season {found.season.year}"
    done = jobs[jobs["done"].astype(bool)]
    parts = [
        "<!doctype html>",
        '<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{escape(title)}</h1>",
        f"<p>{escape(notice(settings))}</p>" if settings.demo else "",
        f"<p>{count(len(hauls), 'boat')}, {count(len(done), 'job')}. Records up to "
        f"{settings.as_of}, fingerprint {escape(fingerprint[:12])}.</p>",
        f'<p class="caution">{escape(NOT_AN_INSPECTION)}</p>',
        "<h2>Parts to pull for all of them</h2>",
        _pulled(done, settings),
        "<h2>Boats</h2>",
        _table(
            ("Week of", "Boat", "Base", "Jobs", "Hours", "Launch"),
            [
                (str(one.week), one.boat, one.base, len(one.jobs), f"{one.hours:g}", one.launch)
                for one in hauls
            ],
            numbers=(3, 4),
        ),
        *(_sheet(found, haul, jobs[jobs["boat"] == haul.boat], settings) for haul in hauls),
        "</body></html>\n",
    ]
    return "\n".join(part for part in parts if part)


def _sheet(found: HaulOuts, haul: Haul, jobs: pd.DataFrame, settings: Settings) -> str:
    done = jobs[jobs["done"].astype(bool)]
    base = f", {escape(haul.base)}" if haul.base else ""
    pieces = [
        f"<section><h1>{escape(haul.boat)}{base}</h1>",
        f"<p>Lift in the week of <b>{haul.week}</b>; ashore {count(haul.days, 'day')}, launch from "
        f"<b>{haul.launch}</b>. {haul.hours:g} hours of labour, each strip-down once.</p>",
        "<h2>Parts to pull</h2>",
        _pulled(done, settings),
        "<h2>Jobs</h2>",
        _table(
            ("Done", "Job", "Part number", "Size", "Hours", "Why"),
            [
                (
                    "\u2610",
                    row["job"] + (" (a rule asks for it)" if row["must"] else ""),
                    row["part_no"] or "not given",
                    row["size"] or "ask the size",
                    "not known" if pd.isna(row["part_price"]) else f"{row['hours']:g}",
                    row["why"],
                )
                for _, row in done.iterrows()
            ],
            numbers=(4,),
        )
        if len(done)
        else "<p>No job is worth its hours: look the gear over.</p>",
        "<h2>Look at these too</h2>",
        _list(_to_look_at(found, haul, jobs), "Nothing stands out: look all of the gear over."),
        "<h2>Before and during the work</h2>",
        _list(_BEFORE),
        "<h2>After launch</h2>",
        _list(AFTER_LAUNCH),
        f'<p class="caution">{escape(NOT_AN_INSPECTION)}</p>',
        "<p>Done by ______________________ &nbsp; on ____________ &nbsp; checked by "
        "______________________</p></section>",
    ]
    return "\n".join(pieces)


def _to_look_at(found: HaulOuts, haul: Haul, jobs: pd.DataFrame) -> list[str]:
    """Parts that are not renewed: those that may be worn already, then what is left in and why."""
    hers = found.parts[(found.parts["boat"] == haul.boat) & ~found.parts["done"].astype(bool)]
    hers = hers[~hers["job"].isin(haul.jobs)]
    why = dict(zip(jobs["job"], jobs["why"], strict=True))
    said = []
    ordered = hers.sort_values(["risk_hidden", "risk", "job"], ascending=[False, False, True])
    for _, row in ordered.iterrows():
        what = ", ".join(filter(None, [row["job"], row["part_no"], row["size"]]))
        hidden = float(row["risk_hidden"])
        if hidden >= LOOKED_AT:
            said.append(
                f"{what}: may be worn already, unseen afloat (chance {percent(hidden)}). Measure "
                "it, and have a new one at hand."
            )
        else:
            reason = f" {why[row['job']]}" if row["job"] in why else " It has no price."
            said.append(
                f"{what}: left in, with a chance of {percent(float(row['risk']))} of failing in "
                f"the season.{reason}"
            )
    return said


def _pulled(done: pd.DataFrame, settings: Settings) -> str:
    """Parts by number and size, how many of each."""
    if done.empty:
        return "<p>None.</p>"
    counts = done.groupby(["kind", "part_no", "size"], sort=True).size().reset_index(name="number")
    return _table(
        ("Number", "Kind", "Part number", "Size"),
        [
            (
                row["number"],
                settings.kind(row["kind"]).label,
                row["part_no"] or "not given",
                row["size"] or "ask the size",
            )
            for _, row in counts.iterrows()
        ],
        numbers=(0,),
    )


def _table(
    head: Sequence[str], rows: Iterable[Sequence[object]], *, numbers: Sequence[int] = ()
) -> str:
    right = ' class="number"'

    def cells(row: Sequence[object], tag: str) -> str:
        return "".join(
            f"<{tag}{right if at in numbers else ''}>{escape(str(cell))}</{tag}>"
            for at, cell in enumerate(row)
        )

    body = "\n".join(f"<tr>{cells(row, 'td')}</tr>" for row in rows)
    return f"<table><thead><tr>{cells(head, 'th')}</tr></thead>\n<tbody>{body}</tbody></table>"


def _list(texts: Sequence[str], nothing: str = "") -> str:
    if not texts:
        return f"<p>{escape(nothing)}</p>"
    return "<ul>" + "".join(f"<li>{escape(text)}</li>" for text in texts) + "</ul>"
