"""What a zip archive holds, unpacked in memory and counted while it grows."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from dataclasses import dataclass

from analytics.records.files import limits
from analytics.records.findings import FleetError

_ENCRYPTED = 0x1
_STEP = 1 << 20
_LOCAL_HEADER = struct.Struct("<4s22xHH")
_LOCAL_MARK = b"PK\x03\x04"

BROKEN = "It may be half written: wait until it is saved, then copy or export it again."


@dataclass
class Allowance:
    """How many bytes may still come out of one file; spent as they come.

    Attributes
    ----------
    place : str
        The file, for findings.
    packed : int
        Its own bytes.
    spent : int
        Bytes that have come out of it.
    """

    place: str
    packed: int
    spent: int = 0

    @property
    def is_spent(self) -> bool:
        """True once a limit was passed: nothing more may come out."""
        too_dense = self.spent > max(limits.RATIO_FROM, limits.RATIO * self.packed)
        return self.spent > limits.UNPACKED_BYTES or too_dense

    def spend(self, number: int) -> None:
        """Count bytes that came out.

        Raises
        ------
        FleetError
            If they are too many, or too many for what was packed.
        """
        self.spent += number
        if self.is_spent:
            raise FleetError.because(
                self.place,
                found=f"{self.spent:,} bytes and more packed in {self.packed:,}",
                expected=f"at most {limits.UNPACKED_BYTES:,} bytes, "
                f"or {limits.RATIO} times what they are packed in",
                remedy="No export shrinks so far: check where the file comes from, or unpack it.",
            )


def members(place: str, content: bytes) -> list[zipfile.ZipInfo]:
    """The files packed in a zip archive, folders left out.

    Raises
    ------
    FleetError
        If it is broken, locked by a password, or holds too many.
    """
    try:
        listed = zipfile.ZipFile(io.BytesIO(content)).infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError, struct.error) as error:
        raise broken(place, str(error)) from None
    if len(listed) > limits.MEMBERS:
        raise FleetError.because(
            place,
            found=f"{len(listed):,} files packed in it",
            expected=f"at most {limits.MEMBERS:,}",
            remedy="Pack only the files of the fleet folder.",
        )
    return [one for one in listed if not one.is_dir()]


def inflated(content: bytes, member: zipfile.ZipInfo, allowance: Allowance) -> bytes:
    """One packed file.

    What the archive says of its size is not believed: the bytes are counted.

    Raises
    ------
    FleetError
        If it is broken, locked by a password, packed in an unusual way, or too
        large.
    """
    place = allowance.place
    if member.flag_bits & _ENCRYPTED:
        raise FleetError.because(
            place,
            found="a password",
            expected="a file that opens without one",
            remedy="Save or pack it again without a password.",
        )
    at = member.header_offset
    try:
        mark, name_length, extra_length = _LOCAL_HEADER.unpack_from(content, at)
    except struct.error:
        raise broken(place, "it breaks off") from None
    if mark != _LOCAL_MARK:
        raise broken(place, "its list of files is wrong")
    begins = at + _LOCAL_HEADER.size + name_length + extra_length
    packed = content[begins : begins + member.compress_size]
    if member.compress_type == zipfile.ZIP_STORED:
        allowance.spend(len(packed))
        data = packed
    elif member.compress_type == zipfile.ZIP_DEFLATED:
        data = inflate(packed, -zlib.MAX_WBITS, allowance)
    else:
        raise FleetError.because(
            place,
            found=f"a file packed in way {member.compress_type}",
            expected="zip's usual way of packing",
            remedy="Pack it again with the usual settings, or unpack it.",
        )
    if len(data) != member.file_size or zlib.crc32(data) != member.CRC:
        raise broken(place, "its check sum is wrong")
    return data


def inflate(packed: bytes, window: int, allowance: Allowance) -> bytes:
    """Unpack one stream, step by step.

    Parameters
    ----------
    packed : bytes
    window : int
        As zlib takes it: what stands round the stream.

    Raises
    ------
    FleetError
        If the stream is broken or grows too large.
    """
    parts: list[bytes] = []
    view, at = memoryview(packed), 0
    # A gzip file may hold several streams one after another, and zeros to fill up.
    while at < len(view) and not (at and view[at] == 0):
        stream, pending = zlib.decompressobj(window), b""
        while not stream.eof:
            if not pending:
                pending, at = bytes(view[at : at + _STEP]), at + _STEP
            part = _decompressed(stream, pending, allowance)
            if not part and not pending:
                raise broken(allowance.place, "it breaks off")
            parts.append(part)
            pending = stream.unconsumed_tail
        at = min(at, len(view)) - len(stream.unused_data)
        if window < 0:
            break  # one stream without a head: what follows is no part of it
    return b"".join(parts)


def _decompressed(stream: zlib._Decompress, pending: bytes, allowance: Allowance) -> bytes:
    try:
        part = stream.decompress(pending, _STEP)
    except zlib.error as error:
        raise broken(allowance.place, str(error)) from None
    allowance.spend(len(part))
    return part


def broken(place: str, why: str) -> FleetError:
    """The error of a file that cannot be unpacked."""
    return FleetError.because(
        place, found=f"a broken file: {why}", expected="a complete file", remedy=BROKEN
    )
