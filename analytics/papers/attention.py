"""Findings as a short list of what to look at, and which boats each of them touches."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from itertools import chain
from typing import Any

import numpy as np
import pandas as pd

from analytics.lives import IN_SERVICE
from analytics.papers.words import count
from analytics.records.findings import Done, Finding
from analytics.records.sorts import EFFECTS, SORTS, Effect

COLUMNS = [
    "group",
    "sort",
    "kind",
    "title",
    "effect",
    "says",
    "rows_touched",
    "parts_in_service",
    "boats",
    "done",
    "remedy",
    "file",
    "rows",
]

ROWS_NAMED = 20
"""Rows of a file that a line names; the findings behind it name them all."""

EFFECT_OF_DONE: dict[Done, Effect] = {
    "stopped": "stops",
    "rejected": "loses",
    "merged": "changes",
    "ignored": "loses",
    "assumed": "widens",
    "noted": "informs",
}
"""What a finding of no known sort does, as far as can be told from what was done about it."""

_GRAVE = frozenset({"stops", "loses"})
_EFFECT_OF_TOLD: dict[Done, Effect] = {
    "merged": "changes",
    "assumed": "changes",
    "noted": "informs",
}

_EFFECT_OF_NOTED: dict[str, Effect] = {"words_unknown": "changes"}
"""Sorts of which a text that is only noted was read as something else: a reason as unknown."""

_REMEDIES_COMPARED = 200

NOWHERE = -1
"""Stands for the row of a finding that is of a whole file."""

_TOLD = ["file", "field", "expected", "done", "remedy", "sort"]
_SOURCE = r"(?s)(?P<file>.+?):(?P<row>\d+)(?:; |$)"


def attention(findings: Sequence[Finding], lives: pd.DataFrame) -> pd.DataFrame:
    """Findings in groups, each with the parts in service and the boats that it touches.

    A group is a sort of finding and, where its rows became lives, the kind of
    part; findings of no sort are grouped by column, by what was expected and by
    what was done. A row that became lives of two kinds counts for both.

    Parameters
    ----------
    findings : sequence of Finding
        With the files named as in `source` of the lives.
    lives : DataFrame
        The table of `lives.Lives`: of it `source` ("file:row", several of them parted
        by "; "), `boat`, `kind` and `outcome`.

    Returns
    -------
    DataFrame
        A row per group, what matters most first: by effect, then by boats, then by
        rows. `group` names it (see `findings_of`); `says` is a sentence;
        `rows_touched` counts rows of the files, `parts_in_service` the parts still
        fitted that were made of them, `boats` the boats with such a part. `done` is
        the most frequent of the group; `remedy` holds the sentences that all of its
        findings have, and is the most frequent where they have none; `file` and
        `rows` say where.
    """
    if not findings:
        return pd.DataFrame(columns=COLUMNS)
    touched = _touched(findings, lives)
    groups = touched.groupby("group")[["sort", "kind", "field", "expected"]].first()
    groups["done"] = _most_frequent(touched, "done")
    groups["remedy"] = _remedies(touched)
    groups = groups.join(_places(touched)).join(_counts(touched))
    groups[_COUNTED] = groups[_COUNTED].fillna(0).astype(int)
    groups = groups.reset_index()
    groups[["title", "effect", "says"]] = [_told(row) for row in groups.to_dict("records")]
    groups["at"] = groups["effect"].map(EFFECTS.index)
    groups["sort_at"] = groups["sort"].map({key: at for at, key in enumerate(SORTS)})
    ordered = groups.sort_values(
        ["at", "boats", "rows_touched", "sort_at", "group"],
        ascending=[True, False, False, True, True],
        ignore_index=True,
    )
    return ordered[COLUMNS]


def findings_of(group: str, findings: Sequence[Finding], lives: pd.DataFrame) -> list[Finding]:
    """The findings behind a line of `attention`, made of the same findings and lives.

    Parameters
    ----------
    group : str
        Its name in the column `group`.
    """
    if not findings:
        return []
    touched = _touched(findings, lives)
    return [findings[at] for at in touched.loc[touched["group"] == group, "finding"].unique()]


_COUNTED = ["rows_touched", "parts_in_service", "boats"]


def _touched(findings: Sequence[Finding], lives: pd.DataFrame) -> pd.DataFrame:
    """A row per finding, row of it and life made of that row, with the group it belongs to."""
    told = pd.DataFrame(
        {name: [getattr(one, name) for one in findings] for name in _TOLD}, dtype=object
    )
    told["finding"] = np.arange(len(told))
    told["sort"] = told["sort"].where(told["sort"].isin(list(SORTS)), "")
    rows = [one.rows or (NOWHERE,) for one in findings]
    pairs = told.loc[np.repeat(told.index, [len(one) for one in rows])]
    pairs["row"] = np.fromiter(chain.from_iterable(rows), dtype=np.int64)
    touched = pairs.merge(_sources(lives), on=["file", "row"], how="left")
    sorted_ = touched["sort"] != ""
    touched["kind"] = touched["kind"].where(sorted_).fillna("")
    of_none = touched["field"] + ": " + touched["expected"] + " [" + touched["done"] + "]"
    by_sort = (touched["sort"] + " " + touched["kind"]).str.strip()
    # What a sort usually loses or stops may have been read all the same: that is another line.
    grave = touched["sort"].isin([key for key, sort in SORTS.items() if sort.effect in _GRAVE])
    told_only = grave & touched["done"].isin(list(_EFFECT_OF_TOLD))
    by_sort = by_sort.where(~told_only, by_sort + " [" + touched["done"] + "]")
    touched["group"] = by_sort.where(sorted_, of_none)
    return touched


def _sources(lives: pd.DataFrame) -> pd.DataFrame:
    """A row per life and row of a file that it was made of."""
    found = lives["source"].astype(str).str.extractall(_SOURCE).droplevel(1)
    sources = found.join(lives[["boat", "kind"]])
    sources["row"] = sources["row"].astype(np.int64)
    sources["life"] = sources.index
    sources["in_service"] = lives["outcome"] == IN_SERVICE
    return sources


def _counts(touched: pd.DataFrame) -> pd.DataFrame:
    rows = touched[touched["row"] != NOWHERE]
    fitted = touched[touched["in_service"].eq(True)]
    counted = (
        rows.drop_duplicates(["group", "file", "row"]),
        fitted.drop_duplicates(["group", "life"]),
        fitted.drop_duplicates(["group", "boat"]),
    )
    sizes = {name: one.groupby("group").size() for name, one in zip(_COUNTED, counted, strict=True)}
    return pd.DataFrame(sizes)


def _most_frequent(touched: pd.DataFrame, name: str) -> pd.Series[str]:
    """Of each group; the first by letters where several are as frequent."""
    each = touched.drop_duplicates(["group", "finding"]).groupby(["group", name]).size()
    ordered = each.reset_index(name="n").sort_values(
        ["group", "n", name], ascending=[True, False, True]
    )
    return ordered.drop_duplicates("group").set_index("group")[name]


def _remedies(touched: pd.DataFrame) -> pd.Series[str]:
    """What to do about all of a group, not about one of its rows."""
    frequent = _most_frequent(touched, "remedy")
    each = touched[["group", "remedy"]].drop_duplicates()
    several = each[each.duplicated("group", keep=False)]
    for group, remedies in several.groupby("group")["remedy"]:
        told = [text.split(". ") for text in remedies.head(_REMEDIES_COMPARED)]
        told = [[sentence.removesuffix(".") for sentence in one] for one in told]
        common = [one for one in told[0] if all(one in other for other in told)]
        # The advice stands last: where that is about one row, the whole of one remedy is clearer.
        if common and common[-1] == told[0][-1]:
            frequent.loc[str(group)] = ". ".join(common) + "."
    return frequent


def _places(touched: pd.DataFrame) -> pd.DataFrame:
    """The files of each group, and the first rows of each file."""
    distinct = touched[["group", "file", "row"]].drop_duplicates()
    ordered = distinct.sort_values(["group", "file", "row"])
    ordered = ordered[
        (ordered["row"] != NOWHERE) | ~ordered.duplicated(["group", "file"], keep=False)
    ]
    by_file = ordered.groupby(["group", "file"])
    first = ordered[by_file.cumcount() < ROWS_NAMED]
    cells = first["row"].astype(str).where(first["row"] != NOWHERE, "")
    listed = cells.groupby([first["group"], first["file"]]).agg(", ".join)
    listed = listed.where(by_file.size() <= ROWS_NAMED, listed + ", …")
    named = listed.to_frame("row").reset_index()
    several = named.duplicated("group", keep=False) & (named["row"] != "")
    named["rows"] = named["row"].where(~several, named["file"] + ": " + named["row"])
    groups = named.groupby("group")
    return pd.DataFrame(
        {
            "file": groups["file"].agg("; ".join),
            "rows": groups["rows"].agg(lambda each: "; ".join(text for text in each if text)),
        }
    )


def _told(group: dict[Hashable, Any]) -> tuple[str, Effect, str]:
    """Title, effect and sentence of a group."""
    sort = SORTS.get(group["sort"])
    if sort:
        title, effect = sort.title, sort.effect
        if effect in _GRAVE:
            effect = _EFFECT_OF_TOLD.get(group["done"], effect)
        if group["done"] == "noted":
            effect = _EFFECT_OF_NOTED.get(group["sort"], effect)
        if effect == "stops" and group["done"] != "stopped":
            effect = "loses"
    else:
        wanted = f"expected {group['expected']}"
        title = f"{group['field']}: {wanted}" if group["field"] else wanted.capitalize()
        effect = EFFECT_OF_DONE[group["done"]]
    subject = _subject(title, group["kind"], group["rows_touched"])
    return (
        title,
        effect,
        f"{subject}: {_ending(effect, group['boats'], in_lives=bool(group['kind']))}",
    )


def _subject(title: str, kind: str, rows: int) -> str:
    """How many of what: "14 bellows without a fitting date"."""
    many = kind.replace("_", " ")
    many = many if many.endswith("s") else many + "s"
    for begin, before in (("Parts ", ""), ("Failed parts ", "failed ")):
        if kind and rows and title.startswith(begin):
            what = many if rows > 1 else kind.replace("_", " ")
            return f"{rows:,} {before}{what} {title.removeprefix(begin)}"
    told = ", ".join(([many] if kind else []) + ([count(rows, "row")] if rows else []))
    return f"{title} ({told})" if told else title


def _ending(effect: Effect, boats: int, *, in_lives: bool) -> str:
    """What it does to the results."""
    of_boats = f"of {count(boats, 'boat')}"
    match effect:
        case "stops":
            return "nothing can be computed before this is mended"
        case "loses":
            return "in part left out of the fit" if in_lives else "left out of the fit"
        case "shifts":
            return f"the results {of_boats} may be off" if boats else "results may be off"
        case "widens":
            return f"the risk {of_boats} is wider" if boats else "the fit is less sure"
        case "changes":
            return "put together, or read other than written"
        case "informs":
            return "good to know, and changes nothing"
