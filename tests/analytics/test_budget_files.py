"""The command `budget`: its files, its workbook and its JSON hold the same numbers."""

from __future__ import annotations

import json
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from python_calamine import CalamineWorkbook

from analytics import __version__
from analytics.cli import main
from analytics.papers.budget_workbook import FIGURES

FLEET = """name = "=Invented & Sons"
note = "Demo data, invented."
demo = true
as_of = 2024-10-31
records_from = 2005-01-01
shaft_share = 1.0
currency = "GBP"
[rates]
labour_per_hour = 80
price_increase = 0.03
labour_increase = 0.05
price_date = 2024-05-01
tax = "net"
"""
SHEETS = [
    *("Summary", "Seasons", "Kinds", "Part numbers"),
    *("Sizes", "Bases", "Months", "Assumptions"),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("fleet")
    (folder / "fleet.toml").write_text(FLEET)
    boats = [f"Boat {n}" for n in range(1, 9)]
    rows = [f"{name},afloat,{base}" for name, base in zip(boats, "NNNSSSEE", strict=True)]
    (folder / "boats.csv").write_text("\n".join(["boat,lay_up,base", *rows]) + "\n")
    parts = [
        f"{name},single,{kind},{no},{25 + 5 * (at % 3)},{year + at % 6}-03-01,"
        for at, name in enumerate(boats)
        for kind, no, year in (("bellows", f"BE-{at % 3}", 2012), ("cutless_bearing", "", 2016))
    ]
    parts[0] += "2023-06-01,failed"
    head = "boat,position,kind,part_no,size,fitted_on,removed_on,reason"
    (folder / "parts.csv").write_text(
        "\n".join([head, *[row if row.endswith("failed") else row + "," for row in parts]]) + "\n"
    )
    (folder / "prices.csv").write_text(
        "kind,part_no,part_price,labour_hours,shared_hours,lead_time_days\n"
        "bellows,,140.5,7,1.5,28\ncutless_bearing,,61.25,8,2,14\n"
    )
    return folder


@pytest.fixture(scope="module")
def written(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("out")
    options = ["--seasons", "3", "--futures", "2000", "--seed", "5"]
    assert main(["budget", str(folder), "--out", str(out), *options]) == 0
    return out


@pytest.fixture(scope="module")
def book(written: Path) -> dict[str, list[list[Any]]]:
    opened = CalamineWorkbook.from_path(written / "budget.xlsx")
    return {name: opened.get_sheet_by_name(name).to_python() for name in opened.sheet_names}


def sheet(book: dict[str, list[list[Any]]], name: str) -> pd.DataFrame:
    _notice, head, *rows = book[name]
    return pd.DataFrame(rows, columns=head)


def csv(written: Path, name: str) -> pd.DataFrame:
    return pd.read_csv(written / name, keep_default_na=False)


def test_sheets_are_those_that_finance_asks_for(book: dict[str, list[list[Any]]]) -> None:
    # It opens on the first of them.
    assert list(book) == SHEETS


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("Seasons", "budget.csv"),
        ("Kinds", "budget.csv"),
        ("Part numbers", "budget.csv"),
        ("Sizes", "budget_sizes.csv"),
        ("Bases", "budget_bases.csv"),
        ("Months", "budget_months.csv"),
    ],
)
def test_workbook_and_csv_agree(
    book: dict[str, list[list[Any]]], written: Path, name: str, file: str
) -> None:
    table, lines = sheet(book, name), csv(written, file)
    if file == "budget.csv":
        fleet, whole_kind = lines["kind"] == "all", lines["part_no"] == "all"
        chosen = {"Seasons": fleet, "Kinds": whole_kind & ~fleet, "Part numbers": ~whole_kind}
        lines = lines[chosen[name]]
    if name == "Seasons":
        assert table["Season"].tolist() == [2025.0, 2026.0, 2027.0, "all, 2025 to 2027"]
        table = table.iloc[:-1]
    assert len(table) == len(lines) > 0
    for heading, (column, _) in FIGURES.items():
        if column == "currency":
            assert set(table[heading]) == {"GBP"}
            continue
        # Files keep ten significant digits, the workbook all of them.
        numbers = table[heading].to_numpy(dtype=np.float64)
        np.testing.assert_allclose(numbers, lines[column].to_numpy(dtype=float), rtol=1e-9)
    if name == "Months":
        months = [f"{day:%Y-%m}" for day in table["Month"]]
        assert months == lines["month"].tolist()
        assert all(isinstance(day, date) for day in table["Month"])


def test_workbook_csv_and_json_agree(
    folder: Path,
    written: Path,
    book: dict[str, list[list[Any]]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    options = ["--seasons", "3", "--futures", "2000", "--seed", "5", "--json"]
    assert main(["budget", str(folder), *options]) == 0
    told = json.loads(capsys.readouterr().out)
    for key, file in (("lines", "budget"), ("sizes", "budget_sizes"), ("bases", "budget_bases"),
                      ("months", "budget_months"), ("boats", "budget_boats")):  # fmt: skip
        table, lines = pd.DataFrame(told[key]), csv(written, f"{file}.csv")
        assert [*table.columns, "notice"] == list(lines.columns)
        for column in table.select_dtypes("number"):
            np.testing.assert_allclose(table[column], lines[column].astype(float), rtol=1e-9)
    every = sheet(book, "Seasons").iloc[-1]
    for heading, (column, _) in FIGURES.items():
        if column != "currency":
            assert every[heading] == pytest.approx(told["horizon"][column])
    shares = [season["share_luck"] for season in told["spread"]]
    assert sheet(book, "Seasons").iloc[:, -1].tolist() == pytest.approx(shares)
    assert all(0 < share <= 1 for share in shares)
    assert told["certain"]["parts"] >= 0
    assert (told["futures"], told["draws"], told["seed"]) == (2000, 1000, 5)


def test_sums_on_the_sheets_are_the_totals(book: dict[str, list[list[Any]]]) -> None:
    seasons = sheet(book, "Seasons").iloc[:-1].set_index("Season")
    whole = sheet(book, "Seasons").iloc[-1]
    for heading in ("Committed", "Forecast", "Cost, mean", "Parts, mean cost"):
        for name in ("Kinds", "Part numbers", "Sizes", "Bases", "Months"):
            sums = sheet(book, name).groupby("Season")[heading].sum()
            np.testing.assert_allclose(sums, seasons[heading].astype(float), atol=1e-6, rtol=0)
        assert whole[heading] == pytest.approx(seasons[heading].sum(), abs=1e-6)
    together = seasons["Committed"] + seasons["Contingency (P80 less committed)"]
    np.testing.assert_allclose(together.astype(float), seasons["Cost, P80"].astype(float))


def test_what_it_rests_on_is_on_a_sheet_of_its_own(
    folder: Path, book: dict[str, list[list[Any]]]
) -> None:
    facts = {row[0]: row[1] for row in book["Assumptions"][2:] if row[0] != "Assumed"}
    assert facts["Fleet"] == "'=Invented & Sons"
    assert facts["Records watched up to"] == date(2024, 10, 31)
    assert facts["Prices taken as of"] == date(2024, 5, 1)
    assert (facts["Currency"], facts["Tax"]) == ("GBP", "net")
    assert facts["Increase of prices a year, share"] == 0.03
    assert (facts["Seed"], facts["Simulated futures"]) == (5.0, 2000.0)
    assert facts["Version of the program"] == __version__
    # The middle of the season year of 2026 is 2026-05-02, 731 days after the price date.
    rise = facts["Labour in season 2026, of 1 as given"]
    assert rise == pytest.approx(1.05 ** (731 / 365.25))
    assumed = [row[1] for row in book["Assumptions"] if row[0] == "Assumed"]
    assert any("the longest of them counts, once" in sentence for sentence in assumed)
    assert any("Parts rise by 3 % a year" in sentence for sentence in assumed)


def test_no_cell_runs_and_every_sheet_of_invented_data_says_so(
    written: Path, book: dict[str, list[list[Any]]]
) -> None:
    for name, rows in book.items():
        assert rows[0][0] == "Demo data, invented.", name
        assert "notice" not in rows[1], name
    with zipfile.ZipFile(written / "budget.xlsx") as packed:
        texts = {name: packed.read(name).decode() for name in packed.namelist()}
    sheets = {name: text for name, text in texts.items() if name.startswith("xl/worksheets/sheet")}
    assert len(sheets) == len(SHEETS)
    for text in sheets.values():
        assert "<f>" not in text
        assert 'ySplit="2"' in text  # notice and header stay in sight
    assert "#,##0.00" in texts["xl/styles.xml"]
    assert "yyyy\\-mm" in texts["xl/styles.xml"] or "yyyy-mm" in texts["xl/styles.xml"]
