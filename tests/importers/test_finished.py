"""A list read to its end: the same rows come out again, whatever they are, and its own trouble stays its own."""

from __future__ import annotations

import errno
import tempfile
from collections.abc import Iterator

import pytest
from hypothesis import given

from partsdb.errors import StoreTrouble
from partsdb.importers import finish
from partsdb.importers.finished import LOT
from support import stored


@given(stored.shelves().map(lambda records: list(enumerate(records, 2))))
def test_every_record_comes_out_as_it_went_in(rows: list[tuple[int, object]]) -> None:
    with finish(iter(rows)) as kept:
        assert len(kept) == len(rows)
        assert list(kept) == rows
        assert list(kept) == rows


def test_many_rows_are_kept_in_a_file_and_told_as_they_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("partsdb.importers.finished.IN_MEMORY", 1000)
    told: list[int] = []
    with finish(((i, stored.plain_offer(f"o{i}")) for i in range(LOT + 5)), told.append) as kept:
        assert told == [LOT, LOT + 5]
        assert [row for row, _ in kept] == list(range(LOT + 5))


def test_trouble_with_the_list_itself_is_raised_as_it_is() -> None:
    def torn_out() -> Iterator[tuple[int, object]]:
        yield 2, stored.plain_offer()
        raise OSError(errno.EIO, "the stick was pulled out")

    with pytest.raises(OSError, match="pulled out"):
        finish(torn_out())


def test_no_room_for_the_rows_is_one_line_with_a_way_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """A device that is always full stands for a full disk."""
    monkeypatch.setattr(tempfile, "SpooledTemporaryFile", lambda _: open("/dev/full", "wb", buffering=0))  # noqa: PTH123, SIM115
    with pytest.raises(StoreTrouble, match=r"no space left.*TMPDIR"):
        finish([(2, stored.plain_offer())])
