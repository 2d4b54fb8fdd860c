"""What a file format must offer, and the formats there are."""

from __future__ import annotations

import pkgutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import IO, NamedTuple

from partsdb.errors import BadData, BadInput, Finding
from partsdb.importers.layout import Layout

HEAD = 65_536
"""Bytes looked at to recognise a format, an encoding, a delimiter."""


class Line(NamedTuple):
    """A row as it stands: its number as the person sees it, its cells, and why it can't be read ("" = it can)."""

    number: int
    cells: Sequence[str]
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Grid:
    """A list as rows of texts, the header first.

    decimal: the decimal mark its numbers have when the file itself says so, else "".
    """

    rows: Iterator[Line]
    decimal: str = ""


@dataclass(frozen=True, slots=True)
class Format:
    """A file format. knows: whether these first bytes, under that file name, are of it; open: bytes to rows."""

    name: str
    suffixes: tuple[str, ...]
    knows: Callable[[bytes], bool]
    open: Callable[[IO[bytes], str, Layout], Grid]


@cache
def formats() -> tuple[Format, ...]:
    """Every format: each module beside this one that has a FORMAT."""
    folder = import_module("partsdb.importers")
    names = sorted(module.name for module in pkgutil.iter_modules(folder.__path__))
    modules = (import_module(f"{folder.__name__}.{name}") for name in names)
    return tuple(m.FORMAT for m in modules if isinstance(getattr(m, "FORMAT", None), Format))


def format_of(stream: IO[bytes], name: str) -> Format:
    """The format of a file, by its bytes before its name. Raises BadInput with the known ones."""
    head = stream.read(HEAD)
    stream.seek(0)
    if not head.strip():
        raise BadData(f"{name} is empty", (Finding(name, "", "", "a header row and rows below it"),))
    suffix = name.lower().rpartition(".")[2]
    fitting = [one for one in formats() if one.knows(head)]
    for one in fitting:
        if suffix in one.suffixes:
            return one
    if fitting:
        return fitting[0]
    known = ", ".join(f".{suffix}" for one in formats() for suffix in one.suffixes)
    raise BadInput(f"{name} is not a list this program can read", f"It reads {known}")
