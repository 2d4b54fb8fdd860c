"""A first look at a list, so that a person can be asked about the columns nobody knows; and their answer as TOML."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import IO

from partsdb.errors import BadData, BadInput, Finding, NotFound
from partsdb.family import Family
from partsdb.importers.formats import format_of
from partsdb.importers.layout import Layout, carried, plain
from partsdb.importers.listing import ListColumn, columns_of, subjects
from partsdb.importers.rows import References

SAMPLES = 3


@dataclass(frozen=True, slots=True)
class Look:
    """What a list's columns are taken for. known: header -> target or attribute; unknown: header -> its first cells;
    missing: columns a list of its subject must have and this one lacks; free: columns that could still be named."""

    known: Mapping[str, str]
    unknown: Mapping[str, tuple[str, ...]]
    missing: tuple[ListColumn, ...]
    free: tuple[ListColumn, ...]


def look_at(
    stream: IO[bytes], name: str, subject: str, known: References, layout: Layout | None = None
) -> Look:
    """Looks at the header and the first rows; the stream is left at its start. Raises BadData when there are none."""
    about = subjects().get(subject)
    if about is None:
        raise NotFound(f"there are no lists of {subject!r}", f"There are lists of: {', '.join(subjects())}")
    said = layout or Layout()
    lines = list(islice(format_of(stream, name).open(stream, name, said).rows, SAMPLES + 1))
    stream.seek(0)
    if not lines:
        raise BadData(f"{name} has no rows", (Finding(name, "", "", "a header row and rows below it"),))
    headers = tuple(cell.strip() for cell in lines[0].cells)
    places = columns_of(headers, about, said)
    taken = {headers[at]: target for target, at in places.items()}
    if about.attributes:
        for family in known.families.values():
            for column in carried(headers, family, said):
                taken.setdefault(column.header, column.attribute.name)
    unknown = {
        header: tuple(line.cells[at] for line in lines[1:] if at < len(line.cells) and line.cells[at])
        for at, header in enumerate(headers)
        if header and header not in taken and plain(header) not in said.columns
    }
    free = tuple(c for c in about.columns if c.target not in places and c.target not in said.fixed)
    return Look(taken, unknown, tuple(c for c in free if c.needed), free)


def answered(layout: Layout, answers: Mapping[str, str], fixed: Mapping[str, str] | None = None) -> Layout:
    """The layout with what a person said of columns: header -> target, attribute with unit, or "" for not read.

    fixed: target -> what it is in every row.
    """
    columns = {**layout.columns, **{plain(header): what for header, what in answers.items()}}
    return replace(layout, columns=columns, fixed={**layout.fixed, **(fixed or {})})


def meaning(text: str, free: Sequence[ListColumn], families: Mapping[str, Family]) -> str:
    """What a person calls a column, as a layout states it: "price", or an attribute with its unit, "capacitance:µF".

    Raises BadInput with the columns there are when nothing is called that.
    """
    wanted = plain(text)
    for column in free:
        if wanted in {plain(word) for word in (column.target, column.title, *column.headers)}:
            return column.target
    for family in families.values():
        for one in carried((text.strip(),), family, Layout()):
            tied = f"#{one.variant}" if one.variant else ""
            where = f"@{one.qualifier}" if one.qualifier else ""
            return f"{one.attribute.name}{tied}{where}" + (f":{one.unit}" if one.unit else "")
    titles = ", ".join(column.title for column in free)
    raise BadInput(
        f"nothing a list may say is called {text!r}", f"It may be: {titles}; or an attribute: bore in mm"
    )


def layout_toml(layout: Layout) -> str:
    """The layout as the TOML file that `layout_from_toml` reads, to be kept for the next list of this form."""
    lines = []
    for title, table in (("columns", layout.columns), ("fixed", layout.fixed)):
        if table:
            lines += [f"[{title}]", *(f"{_quoted(key)} = {_quoted(value)}" for key, value in table.items())]
    form = {
        name: getattr(layout, name)
        for name in ("delimiter", "encoding", "decimal", "date", "sheet")
        if getattr(layout, name)
    }
    if form or layout.full:
        lines += ["[format]", *(f"{name} = {_quoted(value)}" for name, value in form.items())]
        lines += ["full = true"] if layout.full else []
    return "\n".join(lines) + "\n" if lines else ""


def _quoted(text: str) -> str:
    """A TOML basic string."""
    safe = (_ESCAPES.get(c) or (c if c.isprintable() else f"\\U{ord(c):08X}") for c in text)
    return f'"{"".join(safe)}"'


_ESCAPES = {"\\": "\\\\", '"': '\\"', "\t": "\\t", "\n": "\\n"}
