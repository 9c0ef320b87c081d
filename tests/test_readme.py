"""The README says what the program says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from analytics.records.files.grids import FileSettings
from analytics.records.files.names import SUFFIXES
from analytics.records.kinds import KINDS
from analytics.records.mapping.fields import SHAPES
from analytics.records.mapping.meanings import meanings
from analytics.records.settings import Rates, Settings
from analytics.records.tables import TABLES
from analytics.records.wear_limits import WearBelief
from tests.readme import README, ROOT, current_page


@pytest.mark.usefixtures("fitted_once")
def test_the_worked_example_is_up_to_date() -> None:
    page = README.read_text(encoding="utf-8")
    assert current_page(page) == page, "run: python -P tests/readme.py"


def test_every_file_column_kind_and_setting_is_described() -> None:
    page = README.read_text(encoding="utf-8")
    for table in TABLES:
        assert f"`{table.file}`" in page
        for column in table.columns:
            assert f"`{column.name}`" in page, f"{table.file}: {column.name}"
    described = {*KINDS, *Rates.__dataclass_fields__, *Settings.__dataclass_fields__}
    described |= {*FileSettings.__dataclass_fields__, *(suffix for suffix in SUFFIXES)}
    # Held in the page under the names that fleet.toml gives them.
    described -= {"seasons", "rates", "kinds", "files", "wear", "shaft_share_given"}
    described |= {*WearBelief.__dataclass_fields__, "new_mm", "watch_mm", "renew_mm", "whose"}
    described |= {"season_start", "season_end", "lift_on"}
    assert not {name for name in described if f"`{name}`" not in page}


def test_pictures_and_links_exist() -> None:
    page = README.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#]+)\)", page):
        assert (ROOT / Path(target)).exists(), target


def test_every_field_of_a_mapping_is_described() -> None:
    page = README.read_text(encoding="utf-8")
    for shape in SHAPES.values():
        (row,) = [line for line in page.splitlines() if line.startswith(f"| `{shape.name}` | ")]
        assert shape.row_is in row
        for field in shape.fields:
            assert f"`{field.name}`" in row, f"{shape.name}: {field.name}"
            for word in meanings(field.holds) or ():
                assert f"`{word}`" in page, word
