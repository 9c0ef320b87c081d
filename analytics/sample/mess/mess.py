"""The same fleet as three offices would have it: their exports, every defect in a known place."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from analytics.sample.chance import Chance
from analytics.sample.fleet import InventedFleet
from analytics.sample.mess.boat_names import (
    boats_in_key,
    choose_names,
    note_old_job,
    write_former_name,
)
from analytics.sample.mess.clean import clean_of
from analytics.sample.mess.fleet_list import fleet_list, fleet_sheet
from analytics.sample.mess.job_defects import spoil_jobs
from analytics.sample.mess.key import key_text
from analytics.sample.mess.life_defects import spoil_lives
from analytics.sample.mess.life_sheets import AT_ELLORN, AT_SANDRICK, life_page
from analytics.sample.mess.logs import haul_outs, hours_logs
from analytics.sample.mess.pages import Page
from analytics.sample.mess.prices import failure_sheet, price_sheet
from analytics.sample.mess.quillhaven import BASE, file_jobs, job_sheets
from analytics.sample.mess.spoiling import Spoiling
from analytics.sample.mess.stores import parts_issued
from analytics.sample.mess.text_files import text_bytes, workbook_bytes

KEY_FILE = "key.json"

_OWN_STREAM = 3
"""The fleet itself draws from the streams before this one (see `invent_fleet`)."""


@dataclass(frozen=True)
class InventedMess:
    """Exports of offices that do not exist.

    Attributes
    ----------
    files : dict of str to bytes
        By name; `key.json` among them says where each defect is, what stands there
        and what is true.
    clean : dict of str to str
        The plain fleet folder that the exports are a picture of, without any defect.
    """

    files: dict[str, bytes]
    clean: dict[str, str]


def mess_of(fleet: InventedFleet) -> InventedMess:
    """Write an invented fleet down as three offices would.

    Every life of the clean folder is told in the files. A defect for which a small
    fleet offers no place is left out of the key.

    Raises
    ------
    ValueError
        If the scenario's bases are not the three whose offices these are.
    """
    offices = {BASE, AT_SANDRICK.base, AT_ELLORN.base}
    bases = {base.name for base in fleet.scenario.bases}
    if bases != offices:
        raise ValueError(f"the bases are {sorted(bases)}; these exports are of {sorted(offices)}")
    clean = clean_of(fleet)
    chance = Chance(np.random.SeedSequence(fleet.seed, spawn_key=(_OWN_STREAM,)))
    spoiling = Spoiling(clean, chance)
    choose_names(spoiling)

    listed, sheet_of_boats = fleet_list(spoiling), fleet_sheet(spoiling)
    hours, lifts = hours_logs(spoiling), haul_outs(spoiling)
    job_page, jobs = job_sheets(spoiling)
    spoil_jobs(spoiling, job_page, jobs, hours[BASE])
    write_former_name(spoiling, jobs, (hours[BASE], lifts[BASE]), listed)
    file_jobs(job_page, jobs)
    note_old_job(spoiling, job_page)
    issued = parts_issued(spoiling, job_page)

    gear = {sheet.base: life_page(spoiling, sheet) for sheet in (AT_SANDRICK, AT_ELLORN)}
    spoil_lives(spoiling, gear[AT_SANDRICK.base], gear[AT_ELLORN.base])
    _note_shared_name(spoiling, listed)
    workbook = [
        sheet_of_boats,
        gear[AT_SANDRICK.base],
        hours[AT_SANDRICK.base],
        lifts[AT_SANDRICK.base],
        price_sheet(spoiling),
        failure_sheet(spoiling, gear[AT_SANDRICK.base]),
    ]
    quillhaven = [listed, job_page, issued, hours[BASE], lifts[BASE]]
    ellorn = [gear[AT_ELLORN.base], hours[AT_ELLORN.base], lifts[AT_ELLORN.base]]
    files = {"fleet.toml": clean.files["fleet.toml"].encode()}
    for page in quillhaven:
        files[page.file] = text_bytes(page, delimiter=",", encoding="utf-8-sig")
    files[AT_SANDRICK.file] = workbook_bytes(workbook)
    for page in ellorn:
        files[page.file] = text_bytes(page, delimiter=";", encoding="cp1252")
    files[KEY_FILE] = key_text(
        clean,
        [*quillhaven, *workbook, *ellorn],
        spoiling.planted,
        boats_in_key(spoiling),
        spoiling.fates,
        spoiling.changed,
        spoiling.extras,
    ).encode()
    return InventedMess(files, dict(clean.files))


def write_mess(mess: InventedMess, folder: Path) -> list[Path]:
    """Write the exports into a new or empty folder, or over earlier ones.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    ValueError
        If the folder is a file, or holds anything but invented exports; the message
        says what to do. Nothing is written then.
    """
    if folder.exists() and not folder.is_dir():
        raise ValueError(f"{folder} is a file; name an empty or a new folder instead")
    held = sorted(path.name for path in folder.iterdir()) if folder.exists() else []
    foreign = [name for name in held if name not in mess.files]
    if foreign:
        raise ValueError(
            f"{folder} holds other files ({', '.join(foreign[:3])}); "
            "name an empty or a new folder, or move them away first"
        )
    if held and not _is_invented(folder / KEY_FILE):
        raise ValueError(
            f"{folder} holds files that may be real (there is no {KEY_FILE} that says they are "
            "invented); name an empty or a new folder instead"
        )
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for name, content in mess.files.items():
        path = folder / name
        path.write_bytes(content)
        paths.append(path)
    return paths


def _note_shared_name(spoiling: Spoiling, listed: Page) -> None:
    for boat in spoiling.clean.boats:
        if boat.name in spoiling.listed_as:
            line = next(one for one in listed.lines if one.cells["Hull number"] == boat.hull_no)
            true = f"another boat than the one of that name, hull {boat.hull_no}"
            spoiling.plant("boat_name_shared", listed, line, "Name", true, "told", boat=boat)


def _is_invented(key: Path) -> bool:
    try:
        held = json.loads(key.read_bytes())
    except (OSError, ValueError):
        return False
    return isinstance(held, dict) and held.get("invented") is True
