"""Checks, backups, going back, and everything out and in again."""

from __future__ import annotations

import contextlib
import csv
import errno
import json
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from hashlib import sha256
from pathlib import Path

import pytest

from partsdb.errors import BadData, BadInput, StoreTrouble
from partsdb.records import Machine, Offer, Part, Succession
from partsdb.store import (
    About,
    Store,
    back_up,
    backups,
    check,
    dialect,
    export_to,
    import_from,
    logical_dump,
    open_store,
    restore,
)
from partsdb.store.schema import DRAFTS, REVISIONS
from support import stored
from support.later import LATER, later_version


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with stored.opened(tmp_path) as opened:
        opened.put(
            stored.plain_supplier(), stored.plain_part(), stored.plain_offer(), Machine("m", "Strander")
        )
        yield opened


def test_a_sound_database_has_no_faults(store: Store) -> None:
    assert check(store) == ()


def test_a_record_that_names_nothing_is_found_by_the_check(store: Store) -> None:
    with contextlib.closing(sqlite3.connect(store.path)) as raw:
        raw.execute("DELETE FROM suppliers")
        raw.commit()
    assert any("offers row o names a suppliers that isn't there" in line for line in check(store))


def test_numbers_that_succeed_each_other_in_a_circle_are_found_by_the_check(store: Store) -> None:
    store.put(
        Succession("1", "superseded by", "Tarnwick", "A", "Tarnwick", "B"),
        Succession("2", "superseded by", "Tarnwick", "B", "Tarnwick", "A"),
    )
    assert check(store) == ("these supersede each other in a circle: Tarnwick A -> Tarnwick B -> Tarnwick A",)


def test_a_backup_has_everything_and_the_oldest_go(store: Store) -> None:
    made = []
    for day in range(4):
        store.put(Machine("m", f"Strander {day}"))
        made.append(back_up(store, stored.NOW + timedelta(days=day), keep=2))
    assert backups(store.path) == tuple(made[2:])
    with open_store(made[2], now=stored.NOW) as old:
        assert old.get(Machine, "m").name == "Strander 2"
        assert old.get(Offer, "o") == stored.plain_offer()


def test_a_backup_made_while_another_writes_is_of_one_moment(store: Store) -> None:
    with store.writing() as connection:
        connection.exec_driver_sql("UPDATE machines SET name = 'half done'")
        made = back_up(store, stored.NOW)
    with open_store(made, now=stored.NOW) as old:
        assert old.get(Machine, "m").name == "Strander"


def test_keeping_no_backup_at_all_is_refused(store: Store) -> None:
    with pytest.raises(BadInput, match="at least one"):
        back_up(store, stored.NOW, keep=0)


def test_restoring_brings_back_the_old_and_keeps_the_new_aside(store: Store) -> None:
    made = back_up(store, stored.NOW)
    before = list(logical_dump(store))
    store.put(Machine("m2", "Winder"))
    store.delete(Offer, "o")
    aside = restore(made, store.path, stored.NOW)
    assert list(logical_dump(store)) == before
    assert aside is not None
    with open_store(aside, now=stored.NOW) as newer:
        assert newer.get(Machine, "m2").name == "Winder"


def test_restoring_over_a_file_that_cant_be_read_moves_it_aside(store: Store) -> None:
    made = back_up(store, stored.NOW)
    before = list(logical_dump(store))
    store.close()
    store.path.write_bytes(b"garbage" * 1000)
    aside = restore(made, store.path, stored.NOW)
    assert aside is not None
    assert aside.read_bytes().startswith(b"garbage")
    with open_store(store.path, now=stored.NOW) as back:
        assert list(logical_dump(back)) == before


def test_restoring_where_nothing_is_makes_the_database(store: Store, tmp_path: Path) -> None:
    made = back_up(store, stored.NOW)
    target = tmp_path / "elsewhere" / "new.db"
    assert restore(made, target, stored.NOW) is None
    with open_store(target, now=stored.NOW) as other:
        assert list(logical_dump(other)) == list(logical_dump(store))


def test_a_backup_that_isnt_whole_is_refused_and_nothing_is_changed(store: Store) -> None:
    made = back_up(store, stored.NOW)
    before = list(logical_dump(store))
    data = made.read_bytes()
    made.write_bytes(data[: len(data) // 2])
    with pytest.raises(StoreTrouble, match=r"damaged|can't be used"):
        restore(made, store.path, stored.NOW)
    with pytest.raises(StoreTrouble, match="no backup"):
        restore(made.with_name("none.db"), store.path, stored.NOW)
    made.write_text("not a database at all, but long enough to have a header of its own" * 9)
    with pytest.raises(StoreTrouble, match="not a database"):
        restore(made, store.path, stored.NOW)
    assert list(logical_dump(store)) == before


def test_an_export_has_a_file_for_each_table_and_no_live_formula(store: Store, tmp_path: Path) -> None:
    store.put(Machine("f", '=HYPERLINK("http://x.invalid","y")', notes="@SUM(A1)"))
    rows = export_to(store, tmp_path / "out")
    text = (tmp_path / "out" / "machines.csv").read_text(encoding="utf-8")
    assert rows >= 6
    assert "'=HYPERLINK" in text
    assert "'@SUM" in text
    assert json.loads((tmp_path / "out" / "manifest.json").read_text())["revision"]


def test_an_export_comes_back_as_the_same_database(store: Store, tmp_path: Path) -> None:
    store.bring(
        [(2, replace(stored.plain_part("i"), aliases=("'", "''=1", "")))], About("l", "d", "x", stored.NOW)
    )
    export_to(store, tmp_path / "out")
    with import_from(tmp_path / "out", tmp_path / "new.db", stored.NOW) as other:
        assert list(logical_dump(other)) == list(logical_dump(store))
        assert check(other) == ()
        assert other.get(Part, "i").aliases == ("'", "''=1", "")
        assert other.provenance(Part, "i") == store.provenance(Part, "i")


def test_an_export_goes_only_into_an_empty_folder_and_comes_only_into_a_new_file(
    store: Store, tmp_path: Path
) -> None:
    export_to(store, tmp_path / "out")
    with pytest.raises(BadInput, match="not empty"):
        export_to(store, tmp_path / "out")
    with pytest.raises(BadInput, match="exists already"):
        import_from(tmp_path / "out", store.path, stored.NOW)


@pytest.mark.parametrize("file", ["machines.csv", "manifest.json"])
def test_an_export_that_isnt_whole_is_refused_and_leaves_no_database(
    store: Store, tmp_path: Path, file: str
) -> None:
    export_to(store, tmp_path / "out")
    changed = tmp_path / "out" / file
    changed.write_text(changed.read_text()[:-10])
    with pytest.raises(BadData):
        import_from(tmp_path / "out", tmp_path / "new.db", stored.NOW)
    assert not (tmp_path / "new.db").exists()


def _refused(store: Store, out: Path, words: str) -> str:
    """What is said when the export can't come back; no database is left behind."""
    with pytest.raises(BadData, match=words) as caught:
        import_from(out, out.parent / "new.db", stored.NOW)
    assert not (out.parent / "new.db").exists()
    return str(caught.value.findings)


def test_an_export_cut_off_after_a_whole_row_is_refused(store: Store, tmp_path: Path) -> None:
    store.put(Machine("n", "Winder"))
    export_to(store, tmp_path / "out")
    cut = tmp_path / "out" / "machines.csv"
    cut.write_text("".join(cut.read_text(encoding="utf-8").splitlines(keepends=True)[:-1]), encoding="utf-8")
    assert "machines.csv" in _refused(store, tmp_path / "out", "changed or is not whole")


def test_an_export_without_one_of_its_files_is_refused(store: Store, tmp_path: Path) -> None:
    export_to(store, tmp_path / "out")
    (tmp_path / "out" / "offers.csv").unlink()
    assert "offers.csv" in _refused(store, tmp_path / "out", "changed or is not whole")


def test_an_export_torn_in_its_second_megabyte_is_refused(store: Store, tmp_path: Path) -> None:
    store.put(Machine("n", "Winder", notes="grease " * 200_000))
    export_to(store, tmp_path / "out")
    torn = tmp_path / "out" / "machines.csv"
    whole = torn.read_bytes()
    assert len(whole) > 1_300_000
    torn.write_bytes(whole[:-100_000])
    assert "machines.csv" in _refused(store, tmp_path / "out", "changed or is not whole")
    torn.write_bytes(whole)
    import_from(tmp_path / "out", tmp_path / "new.db", stored.NOW).close()


def test_an_export_whose_records_name_what_is_not_in_it_is_refused(store: Store, tmp_path: Path) -> None:
    export_to(store, tmp_path / "out")
    emptied = tmp_path / "out" / "suppliers.csv"
    emptied.write_text(emptied.read_text(encoding="utf-8").splitlines(keepends=True)[0], encoding="utf-8")
    manifest = tmp_path / "out" / "manifest.json"
    about = json.loads(manifest.read_text())
    about["tables"]["suppliers"] = [0, sha256(emptied.read_bytes()).hexdigest()]
    manifest.write_text(json.dumps(about))
    assert "a record of suppliers that is there" in _refused(store, tmp_path / "out", "doesn't fit together")


def test_a_manifest_cant_lead_outside_its_folder(store: Store, tmp_path: Path) -> None:
    export_to(store, tmp_path / "out")
    manifest = tmp_path / "out" / "manifest.json"
    about = json.loads(manifest.read_text())
    about["tables"]["../../secret"] = [0, "0" * 64]
    manifest.write_text(json.dumps(about))
    with pytest.raises(BadData, match="newer version"):
        import_from(tmp_path / "out", tmp_path / "new.db", stored.NOW)


def test_an_export_that_finds_the_disk_full_says_so_and_leaves_nothing(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path) -> str:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr("partsdb.store.exporting._digest", full)
        with pytest.raises(StoreTrouble, match="is full"):
            export_to(store, tmp_path / "out")
    assert not (tmp_path / "out").exists()
    assert export_to(store, tmp_path / "out") > 0


def test_a_copy_that_isnt_sound_never_gets_its_name_and_leaves_nothing(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("partsdb.store.dialect._faults", lambda raw: ("damaged: page 3",))
    with pytest.raises(StoreTrouble, match="not sound"):
        back_up(store, stored.NOW)
    assert not (store.path.parent / "backups").exists()


def _exported_at(folder: Path, revision: str) -> None:
    """The export as that older revision would have written it: without what came later."""
    parts, manifest = folder / "parts.csv", folder / "manifest.json"
    before = sha256(parts.read_bytes()).hexdigest()
    with parts.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    later = rows[0].index("unread")
    with parts.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([row[:later] + row[later + 1 :] for row in rows])
    after = sha256(parts.read_bytes()).hexdigest()
    text = manifest.read_text()
    assert before in text
    manifest.write_text(text.replace(before, after).replace(f'"{REVISIONS[-1]}"', f'"{revision}"'))


def test_what_the_last_draft_exported_comes_back_and_older_drafts_say_what_to_do(tmp_path: Path) -> None:
    """The last draft has no tables that today's lacks, so its export is today's under another number."""
    with open_store(stored.filled(tmp_path), now=stored.NOW) as store:
        export_to(store, tmp_path / "out")
        _exported_at(tmp_path / "out", DRAFTS[-1])
        with import_from(tmp_path / "out", tmp_path / "new.db", stored.NOW) as other:
            assert list(logical_dump(other)) == list(logical_dump(store))
    manifest = tmp_path / "out" / "manifest.json"
    manifest.write_text(manifest.read_text().replace(f'"{DRAFTS[-1]}"', f'"{DRAFTS[0]}"'))
    with pytest.raises(BadData, match="before the first release") as caught:
        import_from(tmp_path / "out", tmp_path / "newer.db", stored.NOW)
    assert f"schema {DRAFTS[-1]}" in caught.value.do
    assert not (tmp_path / "newer.db").exists()


def test_an_export_of_an_older_version_is_upgraded(tmp_path: Path) -> None:
    with open_store(stored.filled(tmp_path), now=stored.NOW) as store:
        export_to(store, tmp_path / "out")
    with later_version(), import_from(tmp_path / "out", tmp_path / "new.db", stored.NOW) as other:
        assert other.get(Machine, "m").name == "Strander"
    assert dialect.revision_of(tmp_path / "new.db", 1) == LATER
