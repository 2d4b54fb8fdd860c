"""Tables of standards and trade, as CSV files that carry their own source, edition and verification status.

A file starts with comment lines `# source:`, `# edition:`, `# status:` (a word of source.Status) and
optionally `# note:`; a header row and rows follow. A column named `status` overrides the file's status for
its row. Packaged tables count as constants: they are read once and never change. The only module is this one:
`load` gives a table by its file's name. May import errors and source.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import cast

from partsdb.source import Source, Status


@dataclass(frozen=True, slots=True)
class Table:
    """A table's rows (column -> text) and where they come from."""

    name: str
    rows: tuple[Mapping[str, str], ...]
    source: Source
    edition: str
    notes: tuple[str, ...] = ()

    def source_of(self, row: Mapping[str, str]) -> Source:
        """The row's own source: the table's, with the row's status when it has one."""
        status = row.get("status") or self.source.status
        return Source(self.source.citation, cast(Status, status))

    def spanning(self, size: float) -> list[Mapping[str, str]]:
        """The rows "over ... up to and including" (columns over_mm, up_to_mm) that hold for a size [m]."""
        just_over = size * 1000 * (1 - 1e-9)
        return [row for row in self.rows if float(row["over_mm"]) < just_over <= float(row["up_to_mm"])]


@cache
def load(name: str, package: str = "partsdb.tables") -> Table:
    """The packaged table `name` (a file name without .csv), of a package: this one holds what several parts of the
    program share, a family's folder what is its own.

    Raises FileNotFoundError when there is none, ValueError when its head lacks a source or a valid status.
    """
    text = files(package).joinpath(f"{name}.csv").read_text(encoding="utf-8")
    head: dict[str, str] = {}
    notes: list[str] = []
    body: list[str] = []
    for line in text.splitlines():
        if line.startswith("#"):
            key, _, value = line[1:].partition(":")
            if key.strip() == "note":
                notes.append(value.strip())
            else:
                head[key.strip()] = value.strip()
        elif line.strip():
            body.append(line)
    status = head.get("status", "")
    if not head.get("source") or status not in Status.__args__:  # type: ignore[attr-defined]  # Literal's words
        raise ValueError(f"table {name}: the head needs a source and a status, found {head}")
    source = Source(head["source"], cast(Status, status))
    return Table(name, tuple(csv.DictReader(body)), source, head.get("edition", ""), tuple(notes))
