"""Pages of one list put together: the header once, objects one after the other."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Sequence
from typing import IO

from partsdb.errors import NetworkTrouble


def joined(pages: Sequence[IO[bytes]]) -> IO[bytes]:
    """One stream of all pages, which are closed; a single page as it is. Raises NetworkTrouble for what has no pages.

    Rows: a later page's first line is left out when it is the first page's header again. JSON: lists are written
    as one object a line, and lines follow one another.
    """
    if len(pages) == 1:
        return pages[0]
    heads = [_head(page) for page in pages]
    if any(head.startswith(b"PK\x03\x04") for head in heads):
        raise NetworkTrouble("the supplier sends a workbook in pieces", "Import it from a file")
    whole = tempfile.TemporaryFile()  # noqa: SIM115 - handed to the caller, who closes it
    try:
        _join(list(zip(pages, heads, strict=True)), whole)
    except BaseException:
        whole.close()
        raise
    for page in pages:
        page.close()
    whole.seek(0)
    return whole


def _head(page: IO[bytes]) -> bytes:
    head = page.read(64).removeprefix(b"\xef\xbb\xbf").lstrip()
    page.seek(0)
    return head


def _join(pages: Sequence[tuple[IO[bytes], bytes]], whole: IO[bytes]) -> None:
    header = b""
    for at, (page, head) in enumerate(pages):
        if head.startswith(b"["):
            _write_objects(page, whole)
            continue
        if not head.startswith(b"{"):
            first = page.readline()
            header = header if at else first.strip()
            if at == 0 or first.strip() != header:
                whole.write(first)
        shutil.copyfileobj(page, whole)
        _end_line(whole)


def _write_objects(page: IO[bytes], whole: IO[bytes]) -> None:
    try:
        found = json.loads(
            page.read().decode("utf-8-sig"), parse_float=str, parse_int=str
        )  # digits as written
    except (ValueError, RecursionError) as fault:
        raise NetworkTrouble("a page of the supplier's list is not JSON", "Try again later") from fault
    for item in found:
        whole.write(json.dumps(item, ensure_ascii=False).encode() + b"\n")


def _end_line(whole: IO[bytes]) -> None:
    if whole.tell() == 0:
        return
    whole.seek(-1, 2)
    if whole.read(1) != b"\n":
        whole.write(b"\n")
