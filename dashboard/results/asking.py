"""What the pages ask about, and long work done beside a page that shows how far it is."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

import streamlit as st

from analytics import job
from analytics.records.reading import fingerprint, folder_files

T = TypeVar("T")

SEED = 0
"""The seed of the command line, so that page, terminal and file show the same numbers."""

PATIENCE = 0.4
"""Seconds before long work shows its progress; anything shorter would only flicker."""


@dataclass(frozen=True)
class Asked:
    """What the sidebar asks for.

    Attributes
    ----------
    files : mapping of str to bytes
        The fleet folder, or the files uploaded in its place.
    key : str
        Fingerprint of those files.
    season : int or None
        Year of the season; None is the coming one.
    horizon : int
        Seasons in the parts budget.
    """

    files: Mapping[str, bytes]
    key: str
    season: int | None = None
    horizon: int = job.HORIZON
    seed: int = SEED


@dataclass(frozen=True)
class Chosen:
    """A kind and group, and the lives of it that are looked at."""

    kind: str
    group: str
    field: str = ""
    value: str = ""


def of_folder(folder: Path) -> Asked:
    """The files of a folder, to ask about; raises `FleetError` as `folder_files` does."""
    files = folder_files(folder)
    return Asked(files, fingerprint(files))


def watched(work: Callable[[job.Progress], T], doing: str) -> T:
    """Do long work, showing how far it is.

    The work runs beside the page, because a kept function that draws would draw
    again whenever its answer is taken from the store.
    """
    told: queue.SimpleQueue[tuple[str, int, int]] = queue.SimpleQueue()
    answer: list[T] = []
    wrong: list[BaseException] = []

    def run() -> None:
        try:
            answer.append(work(lambda what, done, of: told.put((what, done, of))))
        except BaseException as error:
            wrong.append(error)

    worker = threading.Thread(target=run, daemon=True)
    worker.start()
    worker.join(PATIENCE)
    if worker.is_alive():
        shown = st.empty()
        bar = shown.progress(0.0, f"{doing} …")
        while worker.is_alive():
            worker.join(0.1)
            while not told.empty():
                what, done, of = told.get()
                bar.progress(done / max(of, 1), f"{doing}: {what}, {done + 1} of {of}")
        shown.empty()
    if wrong:
        raise wrong[0]
    return answer[0]


def silent(what: str, done: int, of: int) -> None:
    """Progress that nobody watches."""
