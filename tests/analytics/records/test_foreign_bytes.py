"""A foreign folder with its bytes bent: `FleetError`, or records that reconcile, and nothing else.

TIDEWORN_FUZZ_ROUNDS sets how many folders are tried.
"""

from __future__ import annotations

import os
import random
import zlib
from collections.abc import Callable

import pytest

from analytics import intake, job
from analytics.records.decided.decision import Decision
from analytics.records.findings import Finding, FleetError
from tests.analytics.records.exports import gzipped, typed, xlsx, zipped
from tests.analytics.records.mapped_folder import Export, cells, export, folder, reconciled
from tests.analytics.records.test_fuzz import check_sentences

ROUNDS = int(os.environ.get("TIDEWORN_FUZZ_ROUNDS", "60"))

LIVES = export(
    "parts.csv export.csv",
    "lives",
    {"boat": "Boat", "kind": "Part", "fitted_on": "In", "removed_on": "Out", "reason": "Why"},
    """Boat|Part|In|Out|Why
Penny Wren|bellows|13/05/2016|14/06/2019|leaking
Penny Wren|bellows|14/06/2019||
Quiet Otter|lip seal|2017|spring 20|by age""",
)
JOBS = """Boat|Date|Part|Work|By
Penny Wren|2016-05-13|face seal|fitted|T. Orrery
Quiet Otter|2019-06-14|cutless bearing|replaced|T. Orrery"""


def whole() -> dict[str, bytes]:
    """A small folder of every sort of file that is looked into."""
    sheet = Export(
        "jobs.xlsx",
        xlsx({"Jobs": typed(cells(JOBS))}),
        export("jobs.xlsx", "events", {"boat": "Boat", "on": "Date", "kind": "Part",
               "action": "Work", "person": "By"}, JOBS, sheet="Jobs").source,
    )  # fmt: skip
    hours = export("hours.csv", "hours", {"boat": "B", "read_on": "D", "hours": "H"},
                   "B|D|H\nPenny Wren|13/05/2017|1.200,5", pattern="log.csv*")  # fmt: skip
    prices = export("list.csv", "prices", {"kind": "K", "part_price": "P"},
                    "K|P\nbellows|99,50")  # fmt: skip
    files = folder(
        LIVES,
        sheet,
        Export("log.csv.gz", gzipped(hours.content), hours.source),
        Export("more.zip", zipped({"list.csv": prices.content}), prices.source),
        decided=(
            Decision("name", found="Wren", read_as="Penny Wren"),
            Decision("leave_out", file="list.csv").of_row(["K", "P"], ["bellows", "99,50"]),
        ),
    )
    return files


def flipped(content: bytearray, chance: random.Random) -> None:
    for _ in range(chance.randint(1, 8)):
        content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)


def cut(content: bytearray, chance: random.Random) -> None:
    start = chance.randrange(len(content))
    del content[start : chance.choice([len(content), start + chance.randint(1, 40)])]


def doubled(content: bytearray, chance: random.Random) -> None:
    start = chance.randrange(len(content))
    content[start:start] = content[start : start + chance.randint(1, 200)]


def filled(content: bytearray, chance: random.Random) -> None:
    start = chance.randrange(len(content))
    marks = [b"\x00", b'"', b"\n", b"[[sources]]\n", b"\xff\xfe", b"=1+1", b"9" * 5000, b",;\t|"]
    content[start:start] = chance.choice([*marks, chance.randbytes(30)])


BENDS: list[Callable[[bytearray, random.Random], None]] = [flipped, cut, doubled, filled]


def tried(files: dict[str, bytes]) -> bool:
    """True where the folder could be read; both ways of looking at it raise `FleetError` alone."""
    try:
        looked = intake.look_at(files)
        looked.proposed()
    except FleetError as error:
        check_sentences(error.findings)
    stopped: tuple[Finding, ...] = ()
    try:
        fleet = job.open_fleet(files)
    except FleetError as error:
        stopped = error.findings
    if stopped:
        assert {one.done for one in stopped} == {"stopped"}
        check_sentences(stopped)
        return False
    reconciled(fleet.records)
    check_sentences([*fleet.records.findings, *fleet.lives.findings, *fleet.told])
    return True


def test_the_folder_is_right_before_it_is_bent() -> None:
    assert tried(whole())
    fleet = job.open_fleet(whole())
    assert len(fleet.records.exports) == 4
    assert set(fleet.records.counts["rejected"]) == {0}
    assert fleet.records.people == {"T. Orrery"}


@pytest.mark.parametrize("part", range(4))
def test_bent_folders(part: int) -> None:
    right = whole()
    read = 0
    for round_ in range(part, ROUNDS, 4):
        chance = random.Random(zlib.crc32(f"bent {round_}".encode()))
        files = dict(right)
        for name in chance.sample(sorted(files), chance.randint(1, 2)):
            content = bytearray(files[name])
            for bend in chance.choices(BENDS, k=chance.randint(1, 2)):
                if content:
                    bend(content, chance)
            files[name] = bytes(content)
        read += tried(files)
    assert read  # else the folders were bent too far to test more than refusals


def test_any_bytes_under_every_name() -> None:
    names = [*whole(), "x.ods", "x.xlsx", "boats.csv", "a.csv.gz"]
    for round_ in range(ROUNDS // 2):
        chance = random.Random(zlib.crc32(f"any {round_}".encode()))
        files = {
            name: chance.choice([b"", b"PK\x03\x04", b"\x1f\x8b", b"a,b\n"])
            + chance.randbytes(chance.randint(0, 200))
            for name in chance.sample(names, chance.randint(1, 4))
        }
        tried(files)
