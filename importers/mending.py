"""The bad rows of a list as a file of their own: to be corrected, and read again as part of the same list."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from partsdb.errors import Finding
from partsdb.guard import guarded, unguarded
from partsdb.importers.layout import Layout
from partsdb.importers.rows import CONTROLS

FAULT = "what is wrong"
"""The last column of a file to be mended; nobody reads it back."""
MARK = ".to-mend"


def mend_name(name: str) -> str:
    """The name of the file of bad rows of the list `name`.

    >>> mend_name("prices.xlsx"), mend_name("prices.to-mend.csv")
    ('prices.to-mend.csv', 'prices.to-mend.csv')
    """
    stem = name.rpartition(".")[0] or name
    return f"{stem.removesuffix(MARK)}{MARK}.csv"


def source_of(name: str) -> str:
    """What a list is called from one time to the next: its name without suffix and without the mark of mending.

    >>> source_of("prices.csv"), source_of("prices.to-mend.csv")
    ('prices', 'prices')
    """
    return (name.rpartition(".")[0] or name).removesuffix(MARK)


def mend_file(
    headers: Sequence[str],
    bad_rows: Iterable[tuple[int, Sequence[str]]],
    findings: Iterable[Finding],
    layout: Layout,
    decimal: str = "",
) -> bytes:
    """The bad rows as CSV, each with what is wrong with it behind; to be read under the same layout."""
    wrong: dict[str, list[str]] = {}
    for finding in findings:
        said = f"{finding.column}: expected {finding.expected}" if finding.column else finding.expected
        wrong.setdefault(finding.where.rpartition(":")[2], []).append(said)
    out = io.StringIO()
    writer = csv.writer(out, delimiter=layout.delimiter or (";" if decimal == "," else ","))
    kept = [at for at, header in enumerate(headers) if header != FAULT]
    writer.writerow([*(headers[at] for at in kept), FAULT])
    for row, cells in bad_rows:
        some = [_harmless(cells[at]) if at < len(cells) else "" for at in kept]
        writer.writerow([*some, guarded("; ".join(wrong.get(str(row), [])))])
    return out.getvalue().encode(layout.encoding or "utf-8-sig", errors="replace")


def _harmless(cell: str) -> str:
    """The cell without anything that acts on a terminal or in a spreadsheet; the sign put there is refused again."""
    return guarded(CONTROLS.sub("\ufffd", unguarded(cell)))
