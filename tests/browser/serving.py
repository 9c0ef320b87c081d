"""A server on a free port of this machine, for as long as it is needed."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from urllib.error import URLError
from urllib.request import urlopen

STARTS_WITHIN = 60.0
"""Seconds."""


@contextmanager
def served(arguments: Callable[[int], list[str]], **options: object) -> Iterator[str]:
    """Run `python ARGUMENTS` (made for a free port) until it answers; give its address.

    Parameters
    ----------
    arguments : callable
        Takes the port, gives the arguments.
    options
        For `subprocess.Popen`.
    """
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = subprocess.Popen(
        [sys.executable, *arguments(port)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        **options,  # type: ignore[call-overload]
    )
    address = f"http://127.0.0.1:{port}"
    try:
        until = time.monotonic() + STARTS_WITHIN
        while not answers(address):
            assert server.poll() is None, "the server ended before it served"
            assert time.monotonic() < until, "the server does not answer"
            time.sleep(0.1)
        yield address
    finally:
        server.terminate()
        server.wait(10)


def answers(address: str) -> bool:
    """Whether a server is ready at this address."""
    try:
        with urlopen(f"{address}/_stcore/health") as answer:
            return bool(answer.status == 200)
    except (URLError, OSError):
        return False
