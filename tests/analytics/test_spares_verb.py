"""The verb `spares`: words, files and JSON that agree, and wrong use that is told."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pandas as pd
import pytest

from analytics import job
from analytics.ageing.fit import FleetAgeing
from analytics.cli import main
from analytics.decisions.spares import SPARES_COLUMNS
from analytics.outlook.futures import Futures
from analytics.papers.cautions import NOT_AN_INSPECTION

FILES = ("spares", "holdings", "orders_ahead", "in_store", "storage", "questions")


@pytest.fixture(scope="module")
def futures(sample: job.Fleet, sample_ageing: FleetAgeing) -> Futures:
    return job.futures_of(sample, sample_ageing, seasons=8, n_futures=200)


@pytest.fixture(autouse=True)
def _simulated_once(
    monkeypatch: pytest.MonkeyPatch, sample_ageing: FleetAgeing, futures: Futures
) -> None:
    """Fitted and simulated once for all tests; what is asked of it is the verb's own."""
    monkeypatch.setattr(job, "how_it_ages", lambda *_: sample_ageing)
    monkeypatch.setattr(job, "spares_futures_of", lambda *_, **__: futures)


def run(capsys: pytest.CaptureFixture[str], *arguments: str | Path) -> tuple[int, str, str]:
    code = main([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return code, captured.out, captured.err


def test_spares_says_the_same_everywhere(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    sample_folder: Path,
    sample: job.Fleet,
    futures: Futures,
) -> None:
    code, document, said = run(
        capsys, "spares", sample_folder, "--chance", "0.9", "--json", "--out", tmp_path
    )
    assert code == 0
    answer = json.loads(document)
    assert (answer["chance"], answer["season"]) == (0.9, 2027)
    plan = job.spares_of(sample, futures, 0.9)
    for name, table in zip(
        FILES,
        (plan.orders, plan.holdings, plan.ahead, plan.store, plan.storage, plan.questions),
        strict=True,
    ):
        assert len(pd.read_csv(tmp_path / f"{name}.csv")) == len(table) == len(answer[name])
    written = pd.read_csv(tmp_path / "spares.csv")
    assert list(written.columns)[: len(SPARES_COLUMNS)] == SPARES_COLUMNS
    assert written["to_buy"].tolist() == plan.orders["to_buy"].tolist()
    assert [row["to_buy"] for row in answer["spares"]] == written["to_buy"].tolist()
    assert (set(written["chance"]), set(written["one_where_it_pays"])) == ({0.9}, {True})
    assert answer["one_where_it_pays"] is True
    assert answer["all_last_at_once"] == pytest.approx(plan.together.everywhere)
    assert written["base"].iloc[0] == answer["spares"][0]["base"] == "all bases"
    money = {row["base"]: row["cost"] for row in answer["money"]}
    assert money == pytest.approx(written.groupby("base")["cost"].sum().to_dict())
    held = pd.read_csv(tmp_path / "holdings.csv")
    assert held["hold"].tolist() == plan.holdings["hold"].tolist()
    assert set(written["notice"]) == {answer["notice"]}
    assert answer["caution"] == NOT_AN_INSPECTION
    assert said == ""


def test_spares_in_words(
    capsys: pytest.CaptureFixture[str],
    sample_folder: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    code, said, _ = run(capsys, "spares", sample_folder, "--by-chance-only")
    assert code == 0
    flat = " ".join(said.split())
    assert "To order for season 2027, so that each line on its own lasts in 95 of 100" in flat
    assert re.search(
        r"All \d+ lines together last less often: with every shelf filled, in \d+ %", flat
    )
    assert re.search(r"building up the shelf costs EUR [\d,]+ of this order", flat)
    assert "those few days assume that a spare is at hand" in flat
    assert "4 parts in store have passed the storage life and count for nothing" in flat
    assert "which part number or size? Not counted until that is known." in flat
    assert "It says nothing of how long it lasts in a boat" in flat
    assert NOT_AN_INSPECTION in flat
    assert not re.search(r"\b(safe|seaworthy|certified)\b", flat, re.IGNORECASE)


@pytest.mark.parametrize("chance", ["0", "95", "1", "often", "nan"])
def test_a_chance_that_is_none(
    capsys: pytest.CaptureFixture[str], sample_folder: Path, chance: str
) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["spares", str(sample_folder), "--chance", chance])
    assert stopped.value.code == 2
    assert "is not a number from 0.5 to 0.999" in capsys.readouterr().err
