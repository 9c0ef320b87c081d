"""Boats whose names mislead: one that was renamed, two that bear one name."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from itertools import islice

from analytics.sample.mess.clean import CleanBoat
from analytics.sample.mess.fleet_list import HEADERS
from analytics.sample.mess.pages import Line, Page
from analytics.sample.mess.quillhaven import BASE as RENAMED_AT
from analytics.sample.mess.quillhaven import Job
from analytics.sample.mess.spoiling import Spoiling
from analytics.sample.names import boat_names

SHARED_AT = "Port Ellorn"
_NAMES_LOOKED_AT = 4000


def choose_names(spoiling: Spoiling) -> None:
    """Decide which boat was renamed, when and from what, and which two bear one name."""
    renamed = spoiling.pick(
        boat for boat in spoiling.clean.boats if boat.base == RENAMED_AT and _changes(boat)
    )
    if renamed is not None:
        on = _middle(renamed)
        busy = {life.removed for life in spoiling.clean.lives if life.boat is renamed}
        while on in busy:
            on += timedelta(days=1)
        spoiling.former[renamed.name] = (_unused_name(spoiling), on.isoformat())
        spoiling.used_boats.add(renamed.name)
    there = [
        boat for boat in spoiling.clean.boats if boat.base == SHARED_AT and not boat.text["left_on"]
    ]
    if len(there) >= 2:
        one, other = spoiling.chance.shuffled(there)[:2]
        spoiling.listed_as[other.name] = one.name
        spoiling.used_boats |= {one.name, other.name}


def write_former_name(
    spoiling: Spoiling, jobs: list[Job], pages: Iterable[Page], listed: Page
) -> None:
    """Whatever is older than the renaming bears the former name; old jobs no hull number."""
    boat = next((one for one in spoiling.clean.boats if one.name in spoiling.former), None)
    if boat is None:
        return
    former, renamed = spoiling.former[boat.name]
    before = date.fromisoformat(renamed)
    old: list[Line] = [job for job in jobs if _is_of(job, boat) and _older(job, before)]
    for job in old:
        job.cells["Hull no."] = ""
    logged = [
        line
        for page in pages
        for line in page.lines
        if line.cells.get("Hull no.") == boat.hull_no and _older(line, before)
    ]
    for line in [*old, *logged]:
        line.cells["Yacht"] = former
    line = next(one for one in listed.lines if one.cells["Hull number"] == boat.hull_no)
    spoiling.plant("boat_renamed", listed, line, HEADERS[2], boat.name, "used", boat=boat)


def note_old_job(spoiling: Spoiling, page: Page) -> None:
    """An example of a job under the former name."""
    former = {old: name for name, (old, _) in spoiling.former.items()}
    line = spoiling.pick(one for one in page.lines if one.text("Yacht") in former)
    if line is not None:
        life = line.lives[0] if line.lives else None
        true = former[line.text("Yacht")]
        spoiling.plant("boat_renamed", page, line, "Yacht", true, "used", life=life)


def boats_in_key(spoiling: Spoiling) -> list[dict[str, str]]:
    """The boats with their lasting marks and the names they bear."""
    return [
        {
            "boat": boat.name,
            "hull_no": boat.hull_no,
            "listed_as": spoiling.name(boat),
            "former_name": spoiling.former.get(boat.name, ("", ""))[0],
        }
        for boat in spoiling.clean.boats
    ]


def _middle(boat: CleanBoat) -> date:
    return boat.watched_from + (boat.watched_to - boat.watched_from) / 2


def _changes(boat: CleanBoat) -> bool:
    return boat.watched_to - boat.watched_from > timedelta(days=5 * 365)


def _unused_name(spoiling: Spoiling) -> str:
    """A name that no boat bears, of other words than theirs where there are any left."""
    taken = {boat.name for boat in spoiling.clean.boats}
    words = {word for name in taken for word in name.split()}
    offered = [
        name for name in islice(boat_names(spoiling.chance), _NAMES_LOOKED_AT) if name not in taken
    ]
    apart = [name for name in offered if words.isdisjoint(name.split())]
    other_noun = [name for name in offered if name.split()[1] not in words]
    return (apart or other_noun or offered)[0]


def _is_of(job: Job, boat: CleanBoat) -> bool:
    return job.boat is boat


def _older(line: Line, than: date) -> bool:
    return line.on is not None and line.on < than
