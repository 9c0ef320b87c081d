"""The server's command line and what Streamlit is told."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest
from streamlit import config

from dashboard import serve
from tests.browser.serving import STARTS_WITHIN, answers


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


@pytest.mark.skipif(os.name == "nt", reason="other systems have no such signals")
@pytest.mark.parametrize("stop", [signal.SIGTERM, signal.SIGINT])
@pytest.mark.parametrize("while_it", ["reads", "serves"])
def test_the_command_and_its_server_end_together(
    stop: signal.Signals, while_it: str, sample_folder: Path
) -> None:
    port = serve.free_port(0)
    command = [sys.executable, "-m", "analytics.cli", "open", str(sample_folder)]
    opened = subprocess.Popen(
        [*command, "--port", str(port), "--no-browser"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert opened.stdout is not None
    wanted = "Reading" if while_it == "reads" else "Tideworn:"
    for line in opened.stdout:
        if line.startswith(wanted):
            break
    if while_it == "serves":
        until = time.monotonic() + STARTS_WITHIN
        while not answers(f"http://127.0.0.1:{port}"):
            assert time.monotonic() < until, "it does not serve"
            time.sleep(0.1)
    opened.send_signal(stop)
    _, said = opened.communicate(timeout=20)
    assert "Traceback" not in said
    with socket.socket() as free:  # nobody listens there any more
        free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        free.bind((serve.HOST, port))


def test_warming_up_says_what_stands_in_the_way(tmp_path: Path, sample_folder: Path) -> None:
    assert "expected the fleet's exports" in serve.warm_up(tmp_path)
    assert serve.warm_up(sample_folder) == ""
