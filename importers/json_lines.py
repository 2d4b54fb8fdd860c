"""JSON: one object a line, or one list of objects. The names in the first objects are the header.

Numbers are kept as they are written. A line that is no object is a bad row, not the end of the list.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain, islice
from typing import IO, Any

from partsdb.errors import BadData, Finding
from partsdb.importers.formats import Format, Grid, Line
from partsdb.importers.layout import Layout

LARGEST_LIST = 100_000_000
"""Bytes of one list of objects, which is held in memory; lines are not limited."""
LONGEST_LINE = 1_000_000
LOOKED_AT = 200
"""Objects looked at for the header."""

Item = tuple[int, Mapping[str, Any] | str]
"""Row number, and the object or what stands there instead."""


def _open(stream: IO[bytes], name: str, layout: Layout) -> Grid:
    head = stream.read(64).removeprefix(b"\xef\xbb\xbf").lstrip()
    stream.seek(0)
    items = (
        iter(_list(stream, name)) if head.startswith(b"[") else _lines(stream, layout.encoding or "utf-8-sig")
    )
    first = list(islice(items, LOOKED_AT))
    names = list(dict.fromkeys(key for _, item in first if isinstance(item, Mapping) for key in item))
    rows = (_line(number, item, names) for number, item in chain(first, items))
    header = [Line(0, names)] if names else []
    return Grid(chain(header, rows))


def _lines(stream: IO[bytes], encoding: str) -> Iterator[Item]:
    number = 0
    while raw := stream.readline(LONGEST_LINE):
        number += 1
        if raw.isspace():
            continue
        yield number, _item(raw, encoding)


def _item(raw: bytes, encoding: str) -> Mapping[str, Any] | str:
    try:
        text = raw.decode(encoding)
        found = _loads(text)
    except (ValueError, RecursionError, LookupError):
        return raw.decode("utf-8", errors="replace").strip()[:200]
    return found if isinstance(found, dict) else text.strip()[:200]


def _loads(text: str) -> Any:
    return json.loads(text, parse_float=str, parse_int=str, parse_constant=str)


def _list(stream: IO[bytes], name: str) -> Iterable[Item]:
    raw = stream.read(LARGEST_LIST + 1)
    try:
        if len(raw) > LARGEST_LIST:
            raise ValueError(f"more than {LARGEST_LIST:,} bytes")
        found = _loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError) as fault:
        finding = Finding(name, "", str(fault), "a list of objects, or one object a line")
        raise BadData(f"{name} is not JSON", (finding,)) from fault
    return [(i, item if isinstance(item, dict) else str(item)[:200]) for i, item in enumerate(found, start=1)]


def _line(number: int, item: Mapping[str, Any] | str, names: Sequence[str]) -> Line:
    if isinstance(item, str):
        return Line(number, [item], 'an object like {"designation": "..."}')
    strange = sorted(item.keys() - set(names))
    cells = [_text(item.get(name)) for name in names]
    fault = f"names that the first {LOOKED_AT} objects have, not {strange[0]!r}" if strange else ""
    return Line(number, cells, fault)


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list) and all(isinstance(one, str) for one in value):
        return "|".join(value)
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _knows(head: bytes) -> bool:
    return head.removeprefix(b"\xef\xbb\xbf").lstrip().startswith((b"{", b"["))


FORMAT = Format("json lines", ("jsonl", "ndjson", "json"), _knows, _open)
