"""The server's command line and what Streamlit is told."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest
from streamlit import config

from dashboard import serve


def test_the_command_line() -> None:
    options = serve._parser().parse_args(["fleet", "--port", "9000", "--no-browser"])
    assert (options.folder, options.port, options.no_browser) == (Path("fleet"), 9000, True)
    options = serve._parser().parse_args(["fleet"])
    assert (options.port, options.no_browser) == (None, False)


@pytest.mark.parametrize(
    "wrong", [[], ["fleet", "--port", "0"], ["fleet", "--port", "x"], ["a", "b"]]
)
def test_wrong_use_is_exit_code_2(wrong: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        serve.main(wrong)
    assert stopped.value.code == 2
    assert "usage" in capsys.readouterr().err


def test_a_taken_port_gives_way_to_a_free_one() -> None:
    with socket.socket() as taken:
        taken.bind((serve.HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        other = serve.free_port(port)
    assert other != port
    with socket.socket() as free:
        free.bind((serve.HOST, other))


def test_streamlit_is_kept_on_this_machine_and_asks_nothing() -> None:
    options = serve.streamlit_options(8571, headless=True)
    assert options["server.address"] == "127.0.0.1"
    assert options["browser.gatherUsageStats"] is False
    assert options["server.headless"] is True
    assert options["server.showEmailPrompt"] is False
    assert not any(
        "font" in name.lower() and "http" in str(value) for name, value in options.items()
    )
    assert serve.streamlit_options(8571, headless=False)["server.headless"] is False


def test_streamlit_knows_every_option() -> None:
    unknown = set(serve.streamlit_options(8571, headless=True)) - set(config.get_config_options())
    assert not unknown


def test_warming_up_says_what_stands_in_the_way(tmp_path: Path, sample_folder: Path) -> None:
    assert "boats.csv and parts.csv" in serve.warm_up(tmp_path)
    assert serve.warm_up(sample_folder) == ""
