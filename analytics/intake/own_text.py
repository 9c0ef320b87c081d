"""The text of the files that say how exports are read and what was decided."""

from __future__ import annotations

from collections.abc import Mapping

from analytics.records.findings import FleetError


def text_of(content: bytes, file: str) -> str:
    """The text of one of our own files, with or without the mark of UTF-8 before it.

    Parameters
    ----------
    content : bytes
    file : str
        Its name, to be told.

    Raises
    ------
    FleetError
        If it is not UTF-8: saved once more, it would lose letters.
    """
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FleetError.because(
            file,
            content.count(b"\n", 0, error.start) + 1,
            found="a text in another encoding than UTF-8",
            expected="a text in UTF-8",
            remedy="Open it in an editor and save it anew with the encoding UTF-8.",
        ) from None


def text_in(files: Mapping[str, bytes], name: str) -> str | None:
    """The text of one of our own files among others; None where it is not there.

    Raises
    ------
    FleetError
        If it is not UTF-8.
    """
    for known, content in files.items():
        if known.lower() == name:
            return text_of(content, known)
    return None
