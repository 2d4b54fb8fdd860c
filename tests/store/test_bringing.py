"""Imports into the store: counted, repeatable, undone as a whole, and every record knows where it came from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from partsdb.errors import BadInput
from partsdb.records import Machine, Offer, Part, Supplier
from partsdb.source import Provenance
from partsdb.store import About, Store
from support import stored


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with stored.opened(tmp_path) as opened:
        opened.put(stored.plain_supplier())
        yield opened


PARTS = tuple(replace(stored.plain_part(f"p{i}", f"ZQ {i}"), source=f"list.csv:{i + 2}") for i in range(4))


def rows(records: tuple[Any, ...]) -> list[tuple[int, object]]:
    """The records as rows of a list with a header."""
    return [(i + 2, record) for i, record in enumerate(records)]


def about(digest: str = "d1", complete: type[Any] | None = None, source: str = "list") -> About:
    """An import of that digest."""
    return About(source, digest, "delimited", stored.NOW, complete)


def test_a_first_import_is_all_new_and_knows_its_rows(store: Store) -> None:
    done = store.bring(rows(PARTS), about())
    assert (done.new, done.changed, done.removed, done.same, done.again) == (4, 0, 0, 0, False)
    assert [(c.what, c.word, c.label) for c in done.shown[:1]] == [("new", "part", "ZQ 0")]
    assert store.all(Part) == PARTS
    assert store.provenance(Part, "p1") == Provenance("list", 3, "delimited", stored.NOW)
    assert store.provenance(Supplier, "s") is None
    assert store.provenance(Machine, "m") is None


def test_the_same_file_again_is_nothing_to_do(store: Store) -> None:
    store.bring(rows(PARTS), about())
    version = store.version()
    done = store.bring(rows(PARTS), about())
    assert done.again
    assert store.version() == version


def test_the_same_rows_in_another_file_change_no_record_and_keep_the_older_provenance(store: Store) -> None:
    store.bring(rows(PARTS), about())
    later = replace(about("d2"), at=stored.NOW + timedelta(days=1))
    moved = [(i + 9, replace(part, source=f"list.csv:{i + 9}")) for i, part in enumerate(PARTS)]
    done = store.bring(moved, later)
    assert (done.new, done.changed, done.same) == (0, 0, 4)
    assert store.all(Part) == PARTS
    assert store.provenance(Part, "p1") == Provenance("list", 3, "delimited", stored.NOW)


def test_a_changed_row_is_told_with_its_values_before_and_after(store: Store) -> None:
    store.put(stored.plain_part())
    store.bring([(2, stored.plain_offer())], about())
    dearer = stored.plain_offer(e4=130_000)
    done = store.bring([(9, dearer)], about("d2"))
    assert (done.new, done.changed) == (0, 1)
    assert done.shown[0].fields == (("price", "12.50 GBP", "13.00 GBP"),)
    assert store.get(Offer, "o") == dearer
    found = store.provenance(Offer, "o")
    assert found is not None
    assert found.row == 9


def test_each_value_knows_the_list_and_row_that_brought_it(store: Store) -> None:
    store.bring(rows(PARTS), about())
    first = Provenance("list", 4, "delimited", stored.NOW)
    kinds = [v for v in PARTS[2].spec.values if v.attribute == "kind"]
    assert len(kinds) == 1
    assert len(PARTS[2].spec.values) > 1
    other = replace(kinds[0], code="another")
    changed = replace(PARTS[2], spec=PARTS[2].spec.without("kind").plus([other]))
    store.bring([(9, changed)], replace(about("d2"), at=stored.NOW + timedelta(days=1)))
    told = store.provenance_of_values([changed])
    later = Provenance("list", 9, "delimited", stored.NOW + timedelta(days=1))
    assert {key[1]: came for key, came in told.items()} == {
        value.attribute: later if value.attribute == "kind" else first for value in changed.spec.values
    }
    store.put(replace(changed, spec=changed.spec.without("kind").plus([replace(other, code="third")])))
    by_hand = store.provenance_of_values([changed])
    assert {key[1] for key in told} - {key[1] for key in by_hand} == {"kind"}
    assert all(came == first for came in by_hand.values())


def test_a_change_of_an_attribute_value_is_a_change(store: Store) -> None:
    store.bring(rows(PARTS), about())
    other = replace(PARTS[2], spec=PARTS[2].spec.without("kind"))
    done = store.bring(rows((PARTS[0], other)), about("d2"))
    assert (done.changed, done.same) == (1, 1)
    assert store.get(Part, "p2").spec == other.spec


def test_absence_from_an_ordinary_list_removes_nothing(store: Store) -> None:
    store.bring(rows(PARTS), about())
    done = store.bring(rows(PARTS[:1]), about("d2"))
    assert done.removed == 0
    assert store.count(Part) == 4


def test_absence_from_a_complete_list_removes_what_it_once_brought_and_nobody_names(store: Store) -> None:
    store.bring(rows(PARTS), about())
    store.put(stored.plain_part("by-hand", "ZQ 99"), stored.plain_offer(part="p3"))
    store.bring(rows((stored.plain_part("other", "QZ"),)), about(source="another list"))
    done = store.bring(rows(PARTS[:1]), about("d2", complete=Part))
    assert (done.removed, done.kept, done.same) == (2, 1, 1)
    assert [part.id for part in store.all(Part)] == ["by-hand", "other", "p0", "p3"]


def test_a_complete_list_with_faulty_rows_removes_nothing(store: Store) -> None:
    store.bring(rows(PARTS), about())
    done = store.bring(rows(PARTS[:1]), replace(about("d2", complete=Part), faults=1))
    assert done.removed == 0
    assert store.count(Part) == 4


def test_a_list_with_faulty_rows_is_looked_at_again_though_it_is_the_same_file(store: Store) -> None:
    store.bring(rows(PARTS[:2]), replace(about(), faults=2))
    done = store.bring(rows(PARTS), about())
    assert (done.again, done.new, done.same) == (False, 2, 2)


def test_a_dry_run_counts_and_changes_nothing(store: Store) -> None:
    store.bring(rows(PARTS[:2]), about())
    version = store.version()
    done = store.bring(rows(PARTS[1:]), about("d2", complete=Part), dry_run=True)
    assert (done.new, done.same, done.removed) == (2, 1, 1)
    assert store.all(Part) == PARTS[:2]
    assert store.version() == version


def test_a_row_that_cant_stay_undoes_all_of_them(store: Store) -> None:
    lost = stored.plain_offer(part="not there")
    with pytest.raises(BadInput, match="names a part that isn't there"):
        store.bring([*rows(PARTS), (9, lost)], about())
    assert store.count(Part) == 0
    assert store.bring(rows(PARTS), about()).new == 4


def test_a_list_that_is_in_already_is_known_before_it_is_read(store: Store) -> None:
    assert not store.brought_before(about())
    store.bring(rows(PARTS), about())
    assert store.brought_before(about())
    assert not store.brought_before(about("d2"))
    store.bring(rows(PARTS), replace(about("d3"), faults=1))
    assert not store.brought_before(about("d3"))


def test_progress_is_told_by_chunks(store: Store) -> None:
    store.put(stored.plain_part())
    told: list[int] = []
    offers = [(i, stored.plain_offer(f"o{i}")) for i in range(12_000)]
    assert store.bring(offers, about(), on_progress=told.append).new == 12_000
    assert told == [10_000, 12_000]


def test_many_numbers_are_looked_up_at_once(store: Store) -> None:
    one = replace(stored.plain_part("1", "A-1"), maker="Trelvanik (invented)", aliases=("X 9",))
    other = replace(stored.plain_part("2", "a1"), maker="Tarnwick (invented)")
    store.put(one, other, stored.plain_part("3", "B 2"))
    numbers = store.part_numbers()
    assert numbers.of("A 1") is None
    assert numbers.of("A 1", "TRELVANIK (invented)") == "1"
    assert numbers.of("x9") == "1"
    assert numbers.of("x9", "Someone else") is None
    assert numbers.of("b2", "Someone else") == "3"
    assert numbers.of("") is None
