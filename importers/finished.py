"""The good rows of a list, all read: kept in a temporary file, so that a million of them need little memory.

A list is read to its end before anything is written, because reading what descriptions say can take minutes, and
for as long as one program writes, no other can.
"""

from __future__ import annotations

import contextlib
import gc
import pickle
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields, is_dataclass
from itertools import islice
from operator import attrgetter
from types import TracebackType
from typing import IO, Any

from partsdb.errors import StoreTrouble

LOT = 10_000
"""Rows kept in one piece."""
IN_MEMORY = 32_000_000
"""Bytes kept before a file is made of them: a quarter of a million offers."""
TIDIED = 25
"""Lots after which the reference cycles that reading leaves are collected."""


class Finished:
    """Row numbers and records of a list that was read to its end; to be gone through as often as is wanted.

    Made by `finish`; a context manager, whose end removes the file.
    """

    def __init__(self) -> None:
        self._file: IO[bytes] = tempfile.SpooledTemporaryFile(IN_MEMORY)  # noqa: SIM115 - closed by __exit__
        self._count = 0

    def __enter__(self) -> Finished:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._file.close()

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[tuple[int, object]]:
        self._file.seek(0)
        left = self._count
        while left:
            lot = pickle.load(self._file)  # our own, written a moment ago into a file without a name
            left -= len(lot)
            yield from lot

    def keep(self, lot: list[tuple[int, object]]) -> None:
        """Adds rows behind those that are there. Raises StoreTrouble when the disk has no room for them."""
        pickler = pickle.Pickler(self._file, pickle.HIGHEST_PROTOCOL)
        pickler.dispatch_table = _BY_FIELDS
        try:
            pickler.dump(lot)
        except OSError as fault:
            raise StoreTrouble(
                f"the rows can't be kept in {tempfile.gettempdir()}: {(fault.strerror or 'no reason given').lower()}",
                "Nothing was changed; make room there, or name another folder in TMPDIR",
            ) from fault
        self._count += len(lot)


def finish(rows: Iterable[tuple[int, object]], on_progress: Callable[[int], None] | None = None) -> Finished:
    """Reads the rows to their end. on_progress is told how many there are so far."""
    made, stream, lots = Finished(), iter(rows), 0
    try:
        with _no_cycle_search():
            while lot := list(islice(stream, LOT)):
                made.keep(lot)
                lots += 1
                if lots % TIDIED == 0:
                    gc.collect()
                if on_progress is not None:
                    on_progress(len(made))
    except BaseException:
        made.__exit__(None, None, None)
        raise
    return made


@contextlib.contextmanager
def _no_cycle_search() -> Iterator[None]:
    """Rows and records hold no reference cycles; looking for some takes a fifth of a long import's time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


class _ByFields(dict[type, Callable[[Any], tuple[Any, ...]]]):
    """How each record type is taken apart: by its class and fields, in half the time of the usual way."""

    def __missing__(self, kind: type) -> Callable[[Any], tuple[Any, ...]]:
        if not is_dataclass(kind):
            raise KeyError(kind)
        names = tuple(f.name for f in fields(kind))
        fetch = attrgetter(*names)
        one = len(names) == 1
        self[kind] = lambda record: (kind, (fetch(record),) if one else fetch(record))
        return self[kind]


_BY_FIELDS = _ByFields()
