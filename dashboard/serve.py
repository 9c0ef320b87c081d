"""Serve the pages on this machine: `python -m dashboard.serve FOLDER [--port N] [--no-browser]`."""

from __future__ import annotations

import argparse
import os
import socket
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

HOST = "127.0.0.1"
PORT = 8571

LIGHT = {
    "backgroundColor": "#fbfaf7",
    "secondaryBackgroundColor": "#eef1ef",
    "textColor": "#1d2930",
    "primaryColor": "#1d6f77",
    "linkColor": "#1d6f77",
    "borderColor": "#d5dbd8",
}
DARK = {
    "backgroundColor": "#10191f",
    "secondaryBackgroundColor": "#1a262e",
    "textColor": "#e3e8e8",
    "primaryColor": "#5cb6bd",
    "linkColor": "#7cc8ce",
    "borderColor": "#33434c",
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Work out the first page, then serve until stopped; returns the exit code."""
    options = _parser().parse_args(arguments)
    port = free_port(options.port)
    url = f"http://{HOST}:{port}"
    if options.port not in (None, port):
        print(f"Port {options.port} is taken; using {port}.", flush=True)
    os.environ["TIDEWORN_FOLDER"] = str(options.folder.expanduser().resolve())
    flags = streamlit_options(port, headless=options.no_browser)
    try:
        print(f"Reading {options.folder} …", flush=True)
        _load(flags)
        said = warm_up(options.folder)
        if said:
            print(said, file=sys.stderr, flush=True)
        print(f"Tideworn: {url}   (Ctrl+C ends it)", flush=True)
        from streamlit.web import bootstrap

        # From here on Streamlit itself ends the server on Ctrl+C and on SIGTERM.
        bootstrap.run(str(Path(__file__).with_name("app.py")), False, [], flags)
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
    return 0


def free_port(wanted: int | None = None) -> int:
    """The port wanted (or the usual one) where it is free, else any free one."""
    for port in (PORT if wanted is None else wanted, 0):
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
            if os.name != "nt":  # as the server does, so that a port just left counts as free
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HOST, port))
            except OSError:
                continue
            return int(probe.getsockname()[1])
    raise OSError(f"no free port on {HOST}")


def streamlit_options(port: int, *, headless: bool) -> dict[str, Any]:
    """What Streamlit is told: loopback only, nothing sent out, no prompt, own colours."""
    options: dict[str, Any] = {
        "server.address": HOST,
        "server.port": port,
        "server.headless": headless,
        "server.fileWatcherType": "none",
        "server.showEmailPrompt": False,
        "browser.gatherUsageStats": False,
        "client.toolbarMode": "minimal",
        # The export of a table's own menu leaves formulas as they are; the buttons below do not.
        "client.disableDataExport": True,
        "client.showErrorDetails": "none",
        "logger.hideWelcomeMessage": True,
        "logger.level": "warning",
        "theme.baseRadius": "small",
        "theme.headingFontSizes": ["1.9rem", "1.45rem", "1.25rem"],
        "theme.showWidgetBorder": True,
    }
    for mode, colours in (("light", LIGHT), ("dark", DARK)):
        options |= {f"theme.{mode}.{name}": colour for name, colour in colours.items()}
    return options


def warm_up(folder: Path) -> str:
    """Load what the first page needs and work it out; what stands in the way, if anything does.

    A folder that cannot be read is no reason not to serve: the page says what
    to mend, and another folder can be named there.
    """
    from analytics.records.findings import FleetError
    from dashboard import figures, frame, results, sidebar, tables, words

    assert all((figures, frame, sidebar, tables, words))  # loaded, so that no visitor waits for it
    try:
        results.warm(results.of_folder(folder.expanduser().resolve()))
    except FleetError as error:
        return str(error)
    except Exception as error:  # the page says it again, with what to do
        return f"The folder could not be worked out beforehand ({type(error).__name__}: {error})."
    return ""


def _load(flags: dict[str, Any]) -> None:
    from streamlit.web import bootstrap

    bootstrap.load_config_options(flags)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="dashboard.serve", description="The pages of Tideworn, on this machine only."
    )
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="the fleet folder")
    parser.add_argument(
        "--port", type=_port, help=f"port on {HOST} (default: {PORT}, or a free one)"
    )
    parser.add_argument("--no-browser", action="store_true", help="serve without opening a browser")
    return parser


def _port(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"'{text}' is not a port from 1 to 65535")
    return int(text)


if __name__ == "__main__":
    sys.exit(main())
