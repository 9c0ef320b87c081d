"""The verb `replace`: its files, its document, and what it says where it cannot answer."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest

from analytics.cli import main
from analytics.decisions.policies import COLUMNS, MEASURES
from analytics.decisions.replacement_groups import AGES_COLUMNS, CURVE_COLUMNS

FEW = ["--futures", "20", "--seasons", "2"]


def test_files_and_document_hold_the_same_numbers(
    sample_folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    asked = ["replace", str(sample_folder), "--kind", "Bellows", "--out", str(out), "--json", *FEW]
    assert main(asked) == 0
    told = json.loads(capsys.readouterr().out)
    curve, ages, rules = (
        pd.read_csv(out / f"{name}.csv") for name in ("replacement", "replacement_ages", "policies")
    )
    assert list(curve.columns) == [*CURVE_COLUMNS, "notice"]
    assert list(ages.columns) == [*AGES_COLUMNS, "notice"]
    assert list(rules.columns) == [*COLUMNS, "risk_threshold", "notice"]
    for name, table in (("replacement", curve), ("replacement_ages", ages), ("policies", rules)):
        assert len(told[name]) == len(table)
        assert set(table["kind"]) == {"bellows"}
    assert [row["cost"] for row in told["replacement"]] == pytest.approx(curve["cost"].tolist())
    means = [row["mean"] for row in told["policies"]]
    assert means == pytest.approx(rules["mean"].tolist())
    assert set(rules["measure"]) == set(MEASURES)
    assert set(rules["seasons"]) == {1, 2}
    assert "not an inspection" in told["caution"]
    assert any("lift nearest to that age" in line for line in told["taken_for_granted"])


def test_a_kind_that_nobody_has_is_refused(
    sample_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["replace", str(sample_folder), "--kind", "propeller", *FEW]) == 1
    assert "a kind with parts in service: bellows" in capsys.readouterr().err
