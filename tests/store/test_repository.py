"""The store's calls: whole transactions, clear refusals, finding by what a person types."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from partsdb import records
from partsdb.errors import BadInput, NotFound
from partsdb.money import Money
from partsdb.records import Job, Machine, Offer, Part, Position, Supplier
from partsdb.store import Store
from partsdb.store.mapping import ALL, BY_RECORD
from support import stored


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return stored.opened(tmp_path)


def _offers(n: int) -> list[Offer]:
    return [stored.plain_offer(f"o{i:05}") for i in range(n)]


def test_every_record_type_has_a_place_in_the_store() -> None:
    kept = {
        one
        for one in vars(records).values()
        if isinstance(one, type) and "id" in getattr(one, "__slots__", ())
    }
    assert kept - {records.Service} == set(BY_RECORD) - {records.Shop}


def test_the_mapping_fills_every_column_of_its_table() -> None:
    for kind in ALL:
        assert {c.name for c in kind.table.columns} - set(kind.columns) <= {"import_id", "import_row"}
        for child in kind.children:
            free = {c.name for c in child.table.columns} - set(child.columns) - {"import_id", "import_row"}
            assert free == {child.key, "ordinal", *(child.shared[:1] if child.shared else ())}


def test_records_may_come_in_any_order(store: Store) -> None:
    store.put(stored.plain_offer(), stored.plain_part(), stored.plain_supplier())
    assert store.get(Offer, "o").price == Money(125_000, "GBP")


def test_a_record_that_names_nothing_undoes_the_whole_call(store: Store) -> None:
    store.put(stored.plain_supplier())
    version = store.version()
    with pytest.raises(BadInput, match="offer o names a part that isn't there"):
        store.put(Machine("m", "Strander"), stored.plain_offer())
    assert store.all(Machine) == ()
    assert store.version() == version
    store.put(Machine("m", "Strander"))
    assert store.version() == version + 1


def test_a_record_that_another_names_cant_be_removed(store: Store) -> None:
    store.put(stored.plain_offer(), stored.plain_part(), stored.plain_supplier())
    with pytest.raises(BadInput, match="offer o names a supplier"):
        store.delete(Supplier, "s")
    store.delete(Offer, "o")
    store.delete(Supplier, "s")
    assert store.all(Supplier) == ()


def test_removing_a_part_removes_its_values_and_aliases(store: Store) -> None:
    store.put(replace(stored.plain_part(), aliases=("old 7", "older 3")))
    store.delete(Part, "p")
    with store.reading() as connection:
        for child in BY_RECORD[Part].children:
            assert connection.exec_driver_sql(f"SELECT count(*) FROM {child.table.name}").scalar_one() == 0


def test_removing_what_isnt_there_says_so(store: Store) -> None:
    with pytest.raises(NotFound, match="no machine with the id 'x'"):
        store.delete(Machine, "x")


def test_a_stream_is_stored_in_one_transaction_and_tells_its_progress(store: Store) -> None:
    store.put(stored.plain_supplier(), stored.plain_part())
    version = store.version()
    seen: list[int] = []
    assert store.put_many(iter(_offers(25_000)), seen.append) == 25_000
    assert seen == [10_000, 20_000, 25_000]
    assert store.count(Offer) == 25_000
    assert store.version() == version + 1


def test_a_stream_that_breaks_off_leaves_nothing(store: Store) -> None:
    store.put(stored.plain_supplier(), stored.plain_part())

    def breaking() -> object:
        yield from _offers(12_000)
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        store.put_many(breaking())  # type: ignore[arg-type]  # a generator typed as what it raises
    assert store.count(Offer) == 0


def test_values_too_large_for_the_database_are_refused(store: Store) -> None:
    with pytest.raises(BadInput, match="can't be stored"):
        store.put(Machine("m", "Strander", year=2**63))
    with pytest.raises(BadInput, match="can't be stored"):
        store.put(Machine("m", "half a \ud800 character"))
    with pytest.raises(BadInput, match="not a number"):
        store.put(Machine("m", "Strander", plate_voltage=float("nan")))
    assert store.all(Machine) == ()


def test_a_moment_without_a_zone_is_refused(store: Store) -> None:
    naive = datetime(2026, 12, 1, 17)  # noqa: DTZ001 - the fault under test
    with pytest.raises(BadInput, match="no time zone"):
        store.put(Job("j", "Mooring ropes", "", naive, 20.0, Money(0, "GBP")))


def test_something_that_is_no_record_is_a_programming_fault(store: Store) -> None:
    with pytest.raises(TypeError, match="str"):
        store.put("Strander")


def test_where_picks_by_column_by_any_of_several_and_by_nothing(store: Store) -> None:
    store.put(Machine("m1", "Strander"), Machine("m2", "Winder"))
    places = [Position(f"p{i}", f"m{1 + i % 2}", f"place {i}", "contactor") for i in range(6)]
    store.put(*places)
    assert store.where(Position, machine_id="m1") == (places[0], places[2], places[4])
    assert store.where(Position, id=["p1", "p5"]) == (places[1], places[5])
    assert store.where(Position, id=[]) == ()
    assert store.where(Position, machine_id="m1", id={"p1", "p2"}) == (places[2],)
    assert store.where(Machine, year=None) == store.all(Machine)


def test_find_takes_a_name_its_beginning_or_an_id(store: Store) -> None:
    store.put(
        Machine("0a1b2c3d-1", "Strander"), Machine("ffff0000-2", "Strander, small"), Machine("x", "Winder")
    )
    assert store.find(Machine, "STRANDER").id == "0a1b2c3d-1"
    assert store.find(Machine, "wind").id == "x"
    assert store.find(Machine, "ffff").id == "ffff0000-2"
    assert store.find(Machine, "small").id == "ffff0000-2"


def test_find_of_several_names_them(store: Store) -> None:
    store.put(Machine("1", "Winder A"), Machine("2", "Winder B"))
    with pytest.raises(BadInput, match="Winder A, Winder B"):
        store.find(Machine, "winder")


def test_find_of_nothing_lists_what_there_is(store: Store) -> None:
    with pytest.raises(NotFound, match="no machine in the records yet"):
        store.find(Machine, "strander")
    store.put(Machine("1", "Winder"))
    for text in ("strander", "", "%", "_inder", "' OR 1=1 --"):
        with pytest.raises(NotFound, match="There are: Winder"):
            store.find(Machine, text)


def test_a_part_is_found_by_any_number_it_goes_by(store: Store) -> None:
    store.put(
        replace(stored.plain_part("p1", "ZQ 25-440"), aliases=("K/7.118",)),
        stored.plain_part("p2", "ZQ 30-440"),
    )
    assert store.find(Part, "zq25440").id == "p1"
    assert store.find(Part, "k 7118").id == "p1"
    assert store.find(Part, "zq 3").id == "p2"
    assert store.find(Part, "p2").id == "p2"
    with pytest.raises(BadInput, match="ZQ 25-440, ZQ 30-440"):
        store.find(Part, "zq")
