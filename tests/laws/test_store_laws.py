"""Laws of the store: what goes in comes out, and saying it twice says nothing new."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import given, settings

from partsdb.guard import guarded, unguarded
from partsdb.lineage import plain
from partsdb.store import export_to, import_from, logical_dump
from partsdb.store.mapping import BY_RECORD
from support import stored

LAW = settings(max_examples=25, deadline=None)


@LAW
@given(stored.shelves())
def test_every_record_comes_back_equal_and_putting_it_again_changes_nothing(records: tuple[Any, ...]) -> None:
    with tempfile.TemporaryDirectory() as folder, stored.opened(Path(folder)) as store:
        store.put(*records)
        for record in records:
            assert record in store.all(type(record))
        after = store.version()
        store.put(*records)
        assert store.version() == after


@LAW
@given(stored.shelves(), stored.shelves())
def test_the_last_record_of_an_id_stands_and_leaves_nothing_of_the_one_before(
    old: tuple[Any, ...], new: tuple[Any, ...]
) -> None:
    with tempfile.TemporaryDirectory() as folder, stored.opened(Path(folder)) as store:
        store.put(*old)
        store.put(*new)
        for record in new:
            assert record in store.all(type(record))
        assert store.count(type(new[0])) == 2
        assert sum(store.count(kind) for kind in BY_RECORD) == len(new)


@LAW
@given(stored.texts)
def test_looking_up_a_designation_ignores_case_and_punctuation(text: str) -> None:
    assert plain(plain(text)) == plain(text)
    assert plain(f" -{text}/ ") == plain(text)


@settings(max_examples=15, deadline=None)
@given(stored.shelves())
def test_what_is_exported_comes_back_as_the_same_database(records: tuple[Any, ...]) -> None:
    with tempfile.TemporaryDirectory() as name, stored.opened(Path(name)) as store:
        store.put(*records)
        export_to(store, Path(name) / "out")
        with import_from(Path(name) / "out", Path(name) / "new.db", stored.NOW) as other:
            assert list(logical_dump(other)) == list(logical_dump(store))
            for record in records:
                assert record in other.all(type(record))


@given(stored.texts)
def test_guarding_a_cell_is_undone_exactly_and_leaves_no_formula(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
