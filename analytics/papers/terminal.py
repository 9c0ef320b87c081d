"""Tables, sentences and progress on a terminal: answers on one stream, all else on the other."""

from __future__ import annotations

from collections.abc import Sequence
from types import TracebackType

import pandas as pd
from rich.console import Console
from rich.progress import BarColumn, Progress, TaskID, TextColumn
from rich.table import Table
from rich.text import Text


class _Console(Console):
    """A console that leaves it to the command what a closed pipe means."""

    def on_broken_pipe(self) -> None:
        raise BrokenPipeError


class Terminal:
    """Where a verb speaks; a context manager, so that progress always ends.

    Parameters
    ----------
    quiet : bool
        True where standard output belongs to a JSON document: tables and
        sentences are left out.
    """

    def __init__(self, quiet: bool) -> None:
        self.quiet = quiet
        # A table into a pipe or a file must not be cut at 80 columns.
        width = None if Console().is_terminal else 160
        self.out = _Console(width=width, highlight=False, soft_wrap=False)
        self.aside = _Console(stderr=True, highlight=False)
        self._progress = Progress(
            TextColumn("{task.description}"),
            BarColumn(bar_width=24),
            TextColumn("{task.completed:.0f} of {task.total:.0f}"),
            console=self.aside,
            transient=True,
            disable=not self.aside.is_terminal,
        )
        self._task: TaskID | None = None

    def __enter__(self) -> Terminal:
        self._progress.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self._progress.stop()

    def progress(self, doing: str, done: int, total: int) -> None:
        """Show how far a long piece of work is; nothing where nobody watches."""
        if self._task is None:
            self._task = self._progress.add_task(doing, total=total)
        self._progress.update(self._task, description=doing, completed=done, total=total)

    def say(self, sentence: str = "", style: str = "") -> None:
        """A sentence of the answer."""
        if not self.quiet:
            self.out.print(Text(sentence, style=style))

    def table(self, title: str, table: pd.DataFrame, right: Sequence[str] = ()) -> None:
        """A table of texts; columns named in `right` are set flush right."""
        if self.quiet:
            return
        shown = Table(title=title, title_justify="left", title_style="bold", header_style="bold")
        for name in table.columns:
            shown.add_column(
                str(name), justify="right" if name in right else "left", overflow="fold"
            )
        for row in table.itertuples(index=False, name=None):
            shown.add_row(*(Text(str(cell)) for cell in row))
        self.out.print(shown)
