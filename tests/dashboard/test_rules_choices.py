"""What was asked of the rules compared is still asked when the page is opened again."""

from pathlib import Path

import pytest

from dashboard.replacement import policies
from tests.dashboard.pages import opened, turned


def test_the_threshold_and_the_toggle_stay_when_the_page_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "fleet.toml").write_text("as_of = 2024-06-30\nrecords_from = 2005-01-01\n")
    (tmp_path / "boats.csv").write_text("boat,lay_up\nA,afloat\nB,afloat\n")
    (tmp_path / "parts.csv").write_text(
        "boat,position,kind,fitted_on,removed_on,reason\n"
        "A,single,bellows,2012-02-01,2020-03-01,failed\nA,single,bellows,2020-03-01,,\n"
        "B,single,bellows,2017-05-01,,\n"
    )
    monkeypatch.setenv("TIDEWORN_FOLDER", str(tmp_path))
    monkeypatch.setattr(policies, "MOST_PARTS", 0)
    at = opened("replacement")
    at.toggle(key="policies asked").set_value(True).run()
    assert at.selectbox(key="policies risk").value == 0.10
    at.selectbox(key="policies risk").set_value(0.02).run()
    at = turned(turned(at, "season"), "replacement")
    assert not at.exception
    assert at.toggle(key="policies asked").value
    assert at.selectbox(key="policies risk").value == 0.02
    assert not [one for one in at.warning if "default value" in one.value]
