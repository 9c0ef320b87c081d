"""Records that can hardly tell anything: an answer in words, no warning, no number that is none.

Warnings are errors throughout the tests, so a division by zero or an overflow in a library
would stop them. Each fleet goes in by the front door, as a folder.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from analytics import job
from analytics.ageing.agreement import disagreement
from analytics.ageing.belief import learned
from analytics.ageing.curves import curves_table
from analytics.ageing.groups.standing_out import factors_table, standing_out
from analytics.ageing.nonparametric import incidence, rates, recurrence, turnbull
from analytics.ageing.nonparametric.observed import observed
from analytics.ageing.summary import ageing_document
from analytics.cli import main
from analytics.outlook.doubt import expected_learned, prior_doubt
from analytics.papers.belief import (
    conflict_sentence,
    doubt_sentence,
    learned_sentence,
    order_sentence,
)
from analytics.papers.words import how_sure
from analytics.records.findings import FleetError
from analytics.records.reading import folder_files
from tests.analytics.ageing.folders import PARTS, SETTINGS

pytestmark = pytest.mark.usefixtures("fitted_once")

NO_NUMBER = re.compile(r"(?<![a-z])(nan|inf|infinity|nat)(?![a-z])", re.IGNORECASE)
FORBIDDEN = re.compile(r"\b(safe|seaworthy|certified)\b|traceback|fault of ours", re.IGNORECASE)

BOATS = [f"B{i:02d}" for i in range(12)]
KINDS = ("bellows", "face_seal", "cutless_bearing")
"""One that ages by years, one by hours, one by hours and seen only ashore."""


@dataclass(frozen=True)
class Thin:
    """Rows of parts.csv, "{kind}" in them, and what is to be said of them."""

    rows: list[str]
    says: str = "Too few failures to say"
    code: int = 0
    settings: str = ""
    boats: str = ""
    hours: str = ""


CASES = {
    "no failure": Thin([f"{b},,{{kind}},,,2018-04-01" for b in BOATS]),
    "one failure": Thin(
        [
            "B00,,{kind},,,2012-04-01,2019-05-01,failed",
            *(f"{b},,{{kind}},,,2016-04-01" for b in BOATS),
        ]
    ),
    "all failed on one day": Thin(
        [f"{b},,{{kind}},,,2014-04-01,2022-05-01,failed" for b in BOATS],
        says="from failures alone the life of a part cannot be told",
        code=1,
    ),
    "all failed on one day, each renewed": Thin(
        [
            *(f"{b},,{{kind}},,,2014-04-01,2022-05-01,failed" for b in BOATS),
            *(f"{b},,{{kind}},,,2022-05-01" for b in BOATS),
        ],
        says="12 failures",
    ),
    "a few failed on one day": Thin(
        [f"{b},,{{kind}},,,2014-04-01,2022-05-01,failed" for b in BOATS[:2]]
    ),
    "one life": Thin(["B00,,{kind},,,2018-04-01"]),
    "one life, failed": Thin(["B00,,{kind},,,2018-04-01,2020-04-01,failed"]),
    "one life, of no length": Thin(["B00,,{kind},,,2024-06-30"]),
    "a group with no lives": Thin(
        [f"{b},,{{kind}},,L1,2016-04-01" for b in BOATS],
        settings='[kinds.{kind}]\napart = ["L9"]\n',
    ),
    "a group with one life": Thin(
        ["B00,,{kind},,L9,2016-04-01", *(f"{b},,{{kind}},,L1,2016-04-01" for b in BOATS[1:])],
        settings='[kinds.{kind}]\napart = ["L9"]\n',
        says="lot L9",
    ),
    "no hours at all": Thin(
        [f"{b},,{{kind}},,,2016-04-01" for b in BOATS],
        boats="boat,lay_up,hours_per_season\n" + "".join(f"{b},afloat,0\n" for b in BOATS),
    ),
    "hours of one boat only": Thin(
        [f"{b},,{{kind}},,,2016-04-01" for b in BOATS],
        hours="boat,position,read_on,hours\nB00,single,2016-04-01,100\nB00,single,2020-04-01,900\n",
    ),
    "only unknown starts": Thin([f"{b},,{{kind}}" for b in BOATS]),
    "only unknown starts, failures too": Thin(
        [
            *(f"{b},,{{kind}},,,,2019-05-0{1 + i % 9},failed" for i, b in enumerate(BOATS)),
            *(f"{b},,{{kind}}" for b in BOATS),
        ],
        says="12 failures",
    ),
    "only survivors": Thin(
        [f"{b},,{{kind}},,,2010-04-01,2019-05-01,replaced_sound" for b in BOATS]
    ),
    "only accidents": Thin([f"{b},,{{kind}},,,2016-04-01,2019-04-01,accident" for b in BOATS]),
    "one life a thousand times": Thin([f"B{i:04d},,{{kind}},,,2018-04-01" for i in range(1000)]),
    "one failure a thousand times": Thin(
        [
            *(f"B{i:04d},,{{kind}},,,2014-04-01,2020-04-01,failed" for i in range(1000)),
            "C,,{kind},,,2018-04-01",
        ],
        says="1,000 failures",
    ),
    "lives of no length": Thin([f"{b},,{{kind}},,,2024-06-30" for b in BOATS]),
    "failures of no length": Thin(
        [
            *(f"{b},,{{kind}},,,2020-06-30,2020-06-30,failed" for b in BOATS),
            *(f"{b},,{{kind}},,,2020-06-30" for b in BOATS),
        ]
    ),
    "no row at all": Thin([], says="at least one life", code=1, boats="boat\nB00\n"),
    "no row that can be used": Thin(["B00,,{kind},,,2030-01-01"], says="at least one life", code=1),
}

CLOCK_MATTERS = (
    "no failure",
    "all failed on one day, each renewed",
    "no hours at all",
    "hours of one boat only",
    "only unknown starts, failures too",
    "lives of no length",
)
"""Cases that are tried on every clock; the others on years alone, to spare time."""

PAIRS = [(case, kind) for case in CASES for kind in (KINDS if case in CLOCK_MATTERS else KINDS[:1])]


@pytest.fixture
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """The fleet folder of a case and a kind."""
    name, kind = request.param
    return written(tmp_path / "fleet", CASES[name], kind)


def written(folder: Path, thin: Thin, kind: str) -> Path:
    folder.mkdir()
    rows = [row.format(kind=kind) for row in thin.rows]
    rows = [row + "," * (PARTS.count(",") - row.count(",")) for row in rows]
    named = dict.fromkeys(row.split(",")[0] for row in rows)
    boats = thin.boats or "boat,lay_up\n" + "".join(f"{name},afloat\n" for name in named)
    (folder / "fleet.toml").write_text(SETTINGS + thin.settings.format(kind=kind))
    (folder / "parts.csv").write_text("\n".join([PARTS, *rows]) + "\n")
    (folder / "boats.csv").write_text(boats)
    if thin.hours:
        (folder / "hours.csv").write_text(thin.hours)
    return folder


@pytest.mark.parametrize(
    ("folder", "thin"),
    [pytest.param(pair, CASES[pair[0]], id=", ".join(pair)) for pair in PAIRS],
    indirect=["folder"],
)
def test_every_verb_answers_in_words(
    folder: Path, thin: Thin, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for verb, more in (
        ("check", []),
        ("ageing", []),
        ("season", []),
        ("budget", ["--futures", "40", "--seasons", "2"]),
        ("spares", []),
    ):
        out = tmp_path / verb
        code = main([verb, str(folder), "--out", str(out), *more])
        captured = capsys.readouterr()
        told = " ".join((captured.out + captured.err).split())
        assert code == (0 if verb == "check" else thin.code), told
        assert not FORBIDDEN.search(told), told
        assert not NO_NUMBER.search(told), NO_NUMBER.search(told)
        if verb == "ageing":
            assert thin.says in told
        for path in out.glob("*.csv"):
            cells = re.split(r"[,\n]", path.read_text())
            assert not any(NO_NUMBER.fullmatch(cell.strip()) for cell in cells), path.name
        for path in out.glob("*.json"):
            json.loads(path.read_text(), parse_constant=_no_constant)


@pytest.mark.parametrize(
    ("folder", "thin"),
    [
        pytest.param((case, "bellows"), CASES[case], id=case)
        for case in ("no failure", "all failed on one day", "only survivors", "no row at all")
    ],
    indirect=["folder"],
)
def test_every_verb_answers_as_one_document(
    folder: Path, thin: Thin, capsys: pytest.CaptureFixture[str]
) -> None:
    for verb in ("check", "ageing", "season", "budget"):
        more = ["--futures", "40"] if verb == "budget" else []
        code = main([verb, str(folder), "--json", *more])
        document = json.loads(capsys.readouterr().out, parse_constant=_no_constant)
        assert code == (0 if verb == "check" else thin.code)
        assert ("error" in document) == bool(code)


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} is no number of JSON")


@pytest.mark.parametrize(
    ("folder", "thin"),
    [pytest.param(pair, CASES[pair[0]], id=", ".join(pair)) for pair in PAIRS],
    indirect=["folder"],
)
def test_every_function_gives_numbers_that_are_some(folder: Path, thin: Thin) -> None:
    fleet = job.open_fleet(folder_files(folder))
    lives = fleet.lives
    if thin.code:
        with pytest.raises(FleetError) as refused:
            job.how_it_ages(fleet)
        assert thin.says in " ".join(one.sentence() for one in refused.value.findings)
        return
    ageing = job.how_it_ages(fleet)
    season = fleet.coming_season()
    said: list[str | None] = []
    for (kind, group), fitted in ageing.items():
        figures = (*learned(fitted), *expected_learned(lives, {(kind, group): fitted}, season))
        said += [how_sure(fitted), disagreement(fitted), conflict_sentence(figures)]
        said += [learned_sentence(one) for one in figures]
        for one in figures:
            for estimate in (one.prior, one.records):
                assert estimate.low <= estimate.median <= estimate.high
            assert math.isfinite(one.from_records)
        finite(ageing_document(fitted), "document")
        standing_out(fitted)
        finite(factors_table(fitted), "factors")
    finite(curves_table(ageing).drop(columns="km"), "curves")
    doubt = prior_doubt(lives, ageing, season)
    for (kind, group), fitted in ageing.items():
        said.append(doubt_sentence(doubt, kind, group))
        assert set(doubt.expected(kind, group)) == {"doubtful", "as set", "trusting"}
        if fitted.table["outcome"].ne("in_service").all():
            assert set(doubt.expected(kind, group).values()) == {0.0}
    said.append(order_sentence(doubt))
    finite(doubt.parts, "parts")
    finite(doubt.boats, "boats")
    for text in filter(None, said):
        assert not NO_NUMBER.search(text), text
        assert not FORBIDDEN.search(text), text
    seen = observed(lives, ageing)
    for name in ("survival", "causes", "replacements"):
        table: pd.DataFrame = getattr(seen, name)
        for column in table.select_dtypes("number"):
            assert not np.isneginf(table[column]).any(), column
    estimates: list[Callable[..., Any]] = [
        *(module.from_lives for module in (incidence, rates, recurrence, turnbull))
    ]
    for estimate in estimates:
        for kind in lives.table["kind"].unique():
            estimate(lives, kind)


def finite(value: Any, where: str) -> None:
    """Fails where a number is not finite; what is not known has to be None or blank."""
    for place, number in numbers(value, where):
        assert math.isfinite(number), place


def numbers(value: Any, where: str) -> Iterator[tuple[str, float]]:
    if isinstance(value, pd.DataFrame):
        for column in value.select_dtypes("number"):
            for number in value[column].dropna():
                yield f"{where}.{column}", float(number)
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from numbers(one, f"{where}.{key}")
    elif is_dataclass(value):
        for one in fields(value):
            yield from numbers(getattr(value, one.name), f"{where}.{one.name}")
    elif isinstance(value, float):
        yield where, value


def test_what_is_said_of_thin_records_differs_from_what_is_said_of_many(
    tmp_path: Path, sample_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    thin = written(tmp_path / "thin", CASES["no failure"], "bellows")
    told = []
    for folder in (thin, sample_folder):
        assert main(["ageing", str(folder)]) == 0
        told.append(" ".join(capsys.readouterr().out.split()))
    assert "Too few failures to say" in told[0]
    assert "the prior alone" in told[0]
    assert "Usable" in told[1]
