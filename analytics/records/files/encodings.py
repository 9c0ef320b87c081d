"""Bytes of a text file to text: which encoding, and how sure."""

from __future__ import annotations

import codecs
import unicodedata

from analytics.records.findings import Finding, FleetError

_BY_MARK = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)


def decoded(
    place: str, content: bytes, encoding: str | None = None
) -> tuple[str, str, list[Finding]]:
    """The text of a file.

    A byte-order mark decides; without one the text is UTF-8 where that is
    possible, which no other usual encoding is by chance, and Windows-1252 where
    it is not.

    Parameters
    ----------
    place : str
        The file, for findings.
    content : bytes
    encoding : str, optional
        The encoding that the settings name.

    Returns
    -------
    str
        The text, an accent and its letter being one character.
    str
        The encoding as it is shown.
    list of Finding
        One where the encoding was assumed.

    Raises
    ------
    FleetError
        If the bytes are no text in that encoding.
    """
    findings: list[Finding] = []
    python_name, shown = encoding or "utf-8", encoding or "UTF-8"
    for mark, marked_name, marked_shown in _BY_MARK:
        if content.startswith(mark) and not encoding:
            python_name, shown = marked_name, marked_shown
    try:
        text = content.decode(python_name)
    except UnicodeError as error:
        if python_name != "utf-8" or encoding:
            raise _no_text(place, shown, error) from None
        # No zero byte in any text of one byte a character: UTF-16 without its mark, or no text.
        if b"\x00" in content:
            raise _binary(place) from None
        try:
            text, shown = content.decode("cp1252"), "Windows-1252"
        except UnicodeError as error:
            raise _no_text(place, "UTF-8 or Windows-1252", error) from None
        findings.append(
            Finding(
                place,
                None,
                "",
                "text that is not UTF-8",
                "UTF-8",
                "assumed",
                "Read as Windows-1252; save as UTF-8, or set its encoding in fleet.toml, "
                "if names look wrong.",
            )
        )
    if "\x00" in text:
        raise _binary(place)
    text = text.removeprefix("\ufeff")
    # An accent written as a mark of its own looks the same, and must be the same name.
    return unicodedata.normalize("NFC", text), shown, findings


def _no_text(place: str, encoding: str, error: UnicodeError) -> FleetError:
    at = f" from byte {error.start + 1}" if isinstance(error, UnicodeDecodeError) else ""
    return FleetError.because(
        place,
        found=f"bytes that are not {encoding}{at}",
        expected="a text file",
        remedy="Save it as UTF-8, or set its encoding in fleet.toml. "
        "A file half written breaks off like this too: copy or export it again.",
    )


def _binary(place: str) -> FleetError:
    return FleetError.because(
        place,
        found="binary content",
        expected="a text file or a workbook",
        remedy="Open it in the program it came from and save the sheet as CSV (UTF-8) or XLSX; "
        "for UTF-16 without its mark set the encoding in fleet.toml.",
    )
