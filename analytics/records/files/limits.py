"""How much is read at most: far above any fleet's export, and a stop for what would fill memory."""

from __future__ import annotations

BIGGEST_FILE = 200_000_000
"""Bytes of one file as it lies on the disk."""

BIGGEST_FOLDER = 1_000_000_000
"""Bytes of all files of a folder together."""

UNPACKED_BYTES = 400_000_000
"""Bytes of everything that is packed in one archive or workbook, once unpacked."""

MEMBERS = 1_000
"""Files packed in one archive or workbook."""

RATIO = 200
"""Unpacked bytes per packed byte: tables shrink to a tenth or a thirtieth, and only something
made to do harm shrinks to less than a two-hundredth."""

RATIO_FROM = 10_000_000
"""Unpacked bytes from which the ratio counts: below it nothing can do harm."""

CELLS = 20_000_000
"""Cells of one sheet, blank ones between the others included."""

SHEET_TEXT = 1_000_000_000
"""Characters of one sheet, a text that many cells share counted in each of them."""

MERGES = 1_000_000
"""Merged cells of one sheet."""

COLUMNS = 1_000
"""Columns of one table."""

TITLE_ROWS = 50
"""Rows from the top among which the header is looked for."""
