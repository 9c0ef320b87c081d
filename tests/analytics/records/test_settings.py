"""`fleet.toml`: what it says, what is wrong in it, and what stands in."""

import math
from datetime import date

import pytest

from analytics.records.files.grids import FileSettings
from analytics.records.kinds import KINDS, unknown_kind
from analytics.records.settings import Settings, read_settings


def test_no_file_and_an_empty_file_give_the_defaults() -> None:
    assert read_settings("") == (Settings(), [])
    settings, (finding,) = read_settings(None)
    assert settings == Settings()
    assert finding.done == "assumed"


def test_an_age_in_years_is_not_read_as_hours() -> None:
    settings, (finding,) = read_settings('[kinds.bellows]\nclock = "hours"\n')
    assert finding.done == "assumed"
    assert finding.field == "kinds.bellows.clock"
    bellows = settings.kind("bellows")
    assert bellows.prior.at == 2000.0
    assert (bellows.limit, bellows.limit_years) == (None, KINDS["bellows"].limit)
    settings, _ = read_settings('[kinds.lip_seal]\nclock = "years"\n')
    lip_seal = settings.kind("lip_seal")
    assert (lip_seal.limit, lip_seal.limit_years) == (KINDS["lip_seal"].limit_years, None)
    assert lip_seal.prior.at == 8.0


def test_everything_can_be_said() -> None:
    settings, findings = read_settings(
        """
        name = "Tarnwick"
        demo = true
        as_of = 2026-10-31
        records_from = 2011-11-01
        season_start = "11-01"
        season_end = "03-31"
        currency = "GBP"
        shaft_share = 1
        first_part_as_built = true
        [rates]
        tow = 0
        price_date = 2026-01-01
        [kinds.bellows]
        limit = 7
        prior.shape = 3
        prior_note = "x"
        [kinds."Rudder Bearing"]
        clock = "hours"
        at = 1500
        worn_out = [0.1, 0.5]
        limit = false
        causes = ["wear_out"]
        """
    )
    assert [one.field for one in findings] == ["kinds.bellows.prior", "kinds.bellows.prior_note"]
    assert (settings.as_of, settings.records_from) == (date(2026, 10, 31), date(2011, 11, 1))
    assert (settings.seasons.start, settings.seasons.end) == ((11, 1), (3, 31))
    assert (settings.currency, settings.shaft_share) == ("GBP", 1.0)
    assert settings.shaft_share_given
    assert settings.first_part_as_built
    assert {one.sort for one in findings} == {"setting"}
    assert (settings.rates.tow, settings.rates.price_date) == (0.0, "2026-01-01")
    assert (settings.kind("bellows").limit, settings.kind("bellows").limit_from) == (
        7,
        "fleet.toml",
    )
    own = settings.kind("rudder_bearing")
    assert (own.clock, own.limit, own.causes) == ("hours", None, ("wear_out",))
    assert settings.kind("mast") == unknown_kind("mast")
    assert settings.kind("lip_seal") == KINDS["lip_seal"]


@pytest.mark.parametrize(
    "line",
    [
        "name = 3",
        'demo = "yes"',
        'as_of = "2026-10-31"',
        "as_of = 2026-10-31T00:00:00",
        "as_of = 9999-12-31",
        "as_of = 0001-01-01",
        "records_from = 12:00:00",
        'season_start = "02-29"',
        'season_end = "13-01"',
        'lift_on = "4"',
        "lift_on = 4",
        'currency = "eur"',
        'currency = "ÄÖÜ"',
        "shaft_share = 0",
        "first_part_as_built = 1",
        "shaft_share = nan",
        "shaft_share = inf",
        "shaft_share = true",
        f"shaft_share = {'9' * 400}",
        f"shaft_share = 0x{'F' * 5000}",
        "rates = 3",
        "rates.tow = -1",
        "rates.tax = 3",
        "kinds = []",
        "kinds.bellows = 3",
        "kinds.bellows.limit = true",
        "kinds.bellows.limit = 0",
        'kinds.bellows.clock = "days"',
        "kinds.bellows.clock = []",
        "kinds.bellows.early_days = 0",
        "kinds.bellows.early_days = 1.5",
        "kinds.bellows.worn_out = [0.4, 0.02]",
        "kinds.bellows.worn_out = [0.4]",
        'kinds.bellows.worn_out = ["a", "b"]',
        "kinds.bellows.shape_factor = 1",
        'kinds.bellows.causes = ["early"]',
        'kinds.bellows.causes = ["wear_out", "moth"]',
        'kinds.bellows.apart = "QT-18"',
        "colour = 1",
        "'' = 1",
    ],
)
def test_a_wrong_value_is_told_and_its_default_stands(line: str) -> None:
    settings, findings = read_settings(line)
    assert [(one.file, one.done) for one in findings] == [("fleet.toml", "ignored")]
    assert findings[0].sentence().isprintable()
    assert len(findings[0].sentence()) < 600
    assert settings == Settings()


@pytest.mark.parametrize(
    "text",
    [
        "as_of = [",
        "as_of = 2026-02-30",
        "a = 1\na = 2",
        f"a = {'9' * 5000}",
        "a = " + "[" * 5000,
        "\x00",
        "name = 'x",
    ],
)
def test_a_broken_file_is_told_and_the_defaults_stand(text: str) -> None:
    settings, (finding,) = read_settings(text)
    assert finding.done == "ignored"
    assert settings == Settings()


def test_settings_hold_finite_numbers() -> None:
    rates = vars(Settings().rates).values()
    assert all(math.isfinite(one) for one in rates if isinstance(one, float))


def test_how_files_are_read() -> None:
    settings, findings = read_settings(
        """
        [files."parts.csv"]
        encoding = "cp1250"
        delimiter = "\\t"
        decimal = ","
        thousands = ""
        header_row = 3
        [files."fleet.xlsx"]
        sheet = "Parts"
        [files."other.xlsx"]
        sheet = ["A", "B"]
        """
    )
    assert findings == []
    assert settings.files["parts.csv"] == FileSettings("cp1250", "\t", ",", "", (), 3)
    assert settings.files["fleet.xlsx"] == FileSettings(sheet=("Parts",))
    assert settings.files["other.xlsx"].sheet == ("A", "B")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('encoding = "klingon"', "a text encoding"),
        ('encoding = "rot13"', "a text encoding"),
        ("encoding = 8", "a text encoding"),
        ('delimiter = ":"', "one of ',', ';', '\\t', '|'"),
        ('decimal = "comma"', "one of '.', ','"),
        ("thousands = 1", "one of ''"),
        ("sheet = 2", "a list of texts"),
        ("header_row = 0", "the number of a row"),
        ("header_row = true", "the number of a row"),
        ("colour = 1", "a setting that Tideworn knows"),
    ],
)
def test_a_wrong_value_for_a_file_leaves_it_to_be_detected(line: str, words: str) -> None:
    settings, findings = read_settings(f'[files."a.csv"]\n{line}')
    assert settings.files["a.csv"] == FileSettings()
    (one,) = findings
    assert words in one.expected
    assert one.field == f"files.a.csv.{line.split()[0]}"


def test_two_marks_of_a_file_must_differ() -> None:
    settings, findings = read_settings('[files."a.csv"]\ndecimal = ","\nthousands = ","\n')
    assert settings.files["a.csv"] == FileSettings(decimal=",")
    assert [one.field for one in findings] == ["files.a.csv.thousands"]
    settings, findings = read_settings("files.x = 1")
    assert [one.field for one in findings] == ["files.x"]
