"""A file written whole or not at all, readable by whoever could read it before."""

from __future__ import annotations

import os
import secrets
import stat
from pathlib import Path


def write_whole(file: Path, content: bytes) -> None:
    """Write a file beside the old one, then put it in its place in one step.

    Who may read and write it stays as it was; a new file is one like any other
    that the user makes.

    Raises
    ------
    OSError
        If the place cannot be written; the old file is as it was.
    """
    part = file.with_name(f".{file.name}.{secrets.token_hex(6)}.part")
    # Made with these rights, of which the system takes away what the user's mask says.
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        with os.fdopen(handle, "wb") as opened:
            opened.write(content)
            opened.flush()
            os.fsync(opened.fileno())
        if file.exists():
            part.chmod(stat.S_IMODE(file.stat().st_mode))
        os.replace(part, file)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
