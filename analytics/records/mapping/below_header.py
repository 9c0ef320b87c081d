"""The rows of a mapped export below its header, and what stands above them or has changed."""

from __future__ import annotations

import re
from itertools import chain, islice

from analytics.records.files import limits
from analytics.records.files.grids import Grid
from analytics.records.findings import Finding, FleetError
from analytics.records.mapping.document import changed_headers, same_header
from analytics.records.mapping.header_rows import headers_named
from analytics.records.mapping.model import FILE as MAPPING
from analytics.records.mapping.model import SourceMapping
from analytics.records.vocabulary.phrases import normal


def below_header(
    grid: Grid, source: SourceMapping, findings: list[Finding]
) -> tuple[list[str], int, list[tuple[int, list[str]]]]:
    """The headers, the row in which they stand, and the rows below it.

    Parameters
    ----------
    grid : Grid
    source : SourceMapping
    findings : list of Finding
        Titles, new headers and cells beyond the last one are added.

    Raises
    ------
    FleetError
        If the text breaks off, or a header that the mapping reads is gone.
    """
    lines = grid.rows()
    top = list(islice(lines, max(limits.TITLE_ROWS, grid.chosen.header_row or 0)))
    if not top:
        raise FleetError.because(
            grid.place,
            found="an empty sheet" if grid.sheet else "an empty file",
            expected="a table as mapping.toml describes it",
            remedy="Export it again, or remove it.",
        )
    wanted = set(map(same_header, (*source.headers, *source.columns.values())))
    at = max(
        range(len(top)),
        key=lambda i: (
            top[i][0] == grid.chosen.header_row,
            len(wanted & set(map(same_header, headers_named(top[i][1])))),
            -i,
        ),
    )
    header = headers_named(top[at][1])
    findings += _titles(grid, top[:at])
    _notice_changes(grid, source, header, top[at][0], findings)
    width = len(header)
    rows: list[tuple[int, list[str]]] = []
    for row, cells in chain(top[at + 1 :], lines):
        if len(cells) < width:
            cells = cells + [""] * (width - len(cells))
        elif len(cells) > width:
            if extra := [cell.strip() for cell in cells[width:] if cell.strip()]:
                findings.append(_beyond(grid, row, extra, width))
            cells = cells[:width]
        rows.append((row, cells))
    if grid.sheet:
        while rows and not any(map(str.strip, rows[-1][1])):
            rows.pop()  # a sheet ends where its last cell is, not where its formats end
    return header, top[at][0], rows


_TITLE = "Taken for a title and left out. Set header_row in fleet.toml if it is the header."
_PURGED = (
    "Taken for a title. It says that earlier records are gone: see that records_from in fleet.toml "
    "is the day from which every removal is still there."
)

_GONE = re.compile(
    r"destroy|purged|discarded|lost|thrown|vernicht|verlor|gelosch|detruit|perdu|destru|perdid|pers"
)
_BEFORE = re.compile(r"\b(before|prior|older|until|up to|vor|bis|avant|antes|prima|voor)\b")


def _says_purged(title: str) -> bool:
    words = normal(title)
    return bool(_GONE.search(words) and _BEFORE.search(words))


def _titles(grid: Grid, above: list[tuple[int, list[str]]]) -> list[Finding]:
    titles = [
        (row, " ".join(cell.strip() for cell in cells if cell.strip())) for row, cells in above
    ]
    return [
        Finding(
            grid.place,
            row,
            "",
            title[:200],
            "the header in the first row",
            "noted",
            _PURGED if _says_purged(title) else _TITLE,
            "records_purged" if _says_purged(title) else "totals_and_titles",
        )
        for row, title in titles
        if title
    ]


def _notice_changes(
    grid: Grid, source: SourceMapping, header: list[str], row: int, findings: list[Finding]
) -> None:
    change = changed_headers(source, header)
    if change.missing:
        raise FleetError(
            [
                Finding(
                    grid.place,
                    row,
                    gone,
                    ", ".join(header)[:200],
                    f"the header '{gone}', which {MAPPING} reads",
                    "stopped",
                    (f"'{near}' may be its new name. " if near else "")
                    + f"Correct the name in {MAPPING}, or run 'tideworn map' on the folder.",
                    "header_changed",
                )
                for gone, near in change.missing.items()
            ]
        )
    findings += [
        Finding(
            grid.place,
            row,
            new,
            new,
            "the headers of the export for which the mapping was made",
            "noted",
            f"A new column: it is not read. Add it to {MAPPING} if it should be.",
            "header_changed",
        )
        for new in change.new
    ]


def _beyond(grid: Grid, row: int, extra: list[str], width: int) -> Finding:
    return Finding(
        grid.place,
        row,
        "",
        ",".join(extra)[:200],
        f"{width} cells",
        "noted",
        "Cells beyond the last header are not read: put quotes round a text that holds the mark "
        "between cells.",
        "cell_unreadable",
    )
