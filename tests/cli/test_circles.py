"""Numbers that would supersede each other in a circle: a fault of the row that closes it, whoever opened it."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from partsdb.errors import StoreTrouble
from partsdb.lineage import circles
from partsdb.records import Succession
from partsdb.services.arriving import Arrived, asked
from partsdb.services.bringing import bring_in
from partsdb.store import logical_dump, open_store
from support import stored
from support.commands import partsdb

HEAD = "old maker,old number,new maker,new number\n"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def db(tmp_path: Path) -> Path:
    with stored.opened(tmp_path) as store:
        return store.path


def bring(db: Path, text: str, more: str = "", name: str = "history.csv"):
    Path(name).write_text(HEAD + text)
    return partsdb(f"import successions {name} {more}", db)


def steps(db: Path) -> list[str]:
    with open_store(db, now=stored.NOW) as store:
        known = store.all(Succession)
        assert circles(known) == ()
        return sorted(f"{one.number}>{one.to_number}" for one in known)


def test_the_row_that_closes_a_circle_within_a_list_is_bad_and_the_others_come_in(db, folder):
    ran = bring(db, ",A1,,B2\n,B2,,C3\n,c-3,,A 1\n,C3,,D4\n")
    assert (ran.code, ran.err) == (0, "")
    told = " ".join(ran.out.split())
    assert "3 new, 1 bad row " in told
    assert "history.csv:4, new number: found 'A 1', expected what doesn't lead back to where it began" in told
    assert "c-3 -> A1 -> B2 -> C3 (see history.csv:2, history.csv:3)" in told
    assert steps(db) == ["A1>B2", "B2>C3", "C3>D4"]
    mend = (folder / "history.to-mend.csv").read_text(encoding="utf-8-sig")
    assert mend.count("\n") == 2
    (folder / "history.to-mend.csv").write_text(mend.replace("A 1", "E5", 1), encoding="utf-8")
    assert "1 new" in partsdb("import successions history.to-mend.csv", db).out
    assert steps(db) == ["A1>B2", "B2>C3", "C3>D4", "c-3>E5"]


def test_a_circle_with_what_another_list_said_names_that_lists_row(db):
    bring(db, ",A1,,B2\n")
    ran = bring(db, ",X1,,X2\n,B2,,A1\n", "--json", "other.csv")
    (finding,) = json.loads(ran.out)["findings"]
    assert finding["where"] == "other.csv:3"
    assert finding["column"] == "new number"
    assert finding["found"] == "A1"
    assert finding["expected"].endswith("B2 -> A1 -> B2 (see history.csv:2)")
    assert steps(db) == ["A1>B2", "X1>X2"]


def test_a_number_that_supersedes_itself_under_another_spelling_is_bad(db):
    ran = bring(db, "Tarnwick,A-1,Tarnwick,a 1\n")
    assert ran.code == 2
    assert "A-1 -> Tarnwick a 1" in " ".join(ran.out.split())
    assert steps(db) == []


def test_makers_that_became_each_other_are_told_in_the_column_of_the_maker(db):
    Path("makers.csv").write_text("relation,old maker,new maker\nmaker became,V,W\nmaker became,W,V\n")
    ran = partsdb("import successions makers.csv --json", db)
    (finding,) = json.loads(ran.out)["findings"]
    assert (finding["where"], finding["column"], finding["found"]) == ("makers.csv:3", "new maker", "V")


def test_strict_refuses_the_whole_list_and_a_dry_run_says_so_and_changes_nothing(db):
    bring(db, ",A1,,B2\n")
    with open_store(db, now=stored.NOW) as store:
        before = list(logical_dump(store))
    dry = bring(db, ",B2,,A1\n,X1,,X2\n", "--dry-run", "other.csv")
    assert "would be 1 new, 1 bad row" in dry.out
    assert "lead back" in " ".join(dry.out.split())
    strict = partsdb("import successions other.csv --strict", db)
    assert strict.code == 2
    assert strict.err.count("\n") == 1
    assert "1 bad row," in strict.err
    assert "lead back" in strict.out
    with open_store(db, now=stored.NOW) as store:
        assert list(logical_dump(store)) == before


def test_a_complete_list_may_turn_round_what_it_said_before(db):
    bring(db, ",A1,,B2\n,B2,,C3\n", "--full")
    assert "2 removed" in bring(db, ",C3,,B2\n,B2,,A1\n", "--full").out
    assert steps(db) == ["B2>A1", "C3>B2"]


def test_a_complete_list_with_bad_rows_may_not_for_then_nothing_is_removed(db):
    bring(db, ",A1,,B2\n,B2,,C3\n", "--full")
    ran = bring(db, ",C3,,B2\n,B2,,\n", "--full")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.count("\n") == 1
    assert "B2 -> C3 -> B2" in ran.err
    assert steps(db) == ["A1>B2", "B2>C3"]
    assert "1 new" in bring(db, ",C3,,D4\n,B2,,\n", "--full").out


def test_a_circle_of_an_old_database_stops_no_other_row_and_goes_with_a_complete_list(db):
    bring(db, ",A1,,B2\n,X1,,X2\n", "--full")
    with open_store(db, now=stored.NOW) as store:
        store.put(Succession("old", "superseded by", "", "B2", "", "A1"))
    assert "1 new" in bring(db, ",C3,,A1\n", name="other.csv").out
    ran = partsdb("check", db)
    assert ran.code == 1
    assert "in a circle: A1 -> B2 -> A1" in " ".join(ran.out.split())
    assert "1 removed" in bring(db, ",X1,,X2\n", "--full").out
    assert partsdb("check", db).code == 0


def test_what_another_writes_while_a_list_is_read_closes_no_circle_either(db, folder):
    """Two writers: the other one is done between the look at the records and the writing."""

    class Slow(io.BytesIO):
        def read(self, size: int | None = -1) -> bytes:
            if self.tell() == 0 and "A1>B2" not in steps(db):
                with open_store(db, now=stored.NOW) as other:
                    other.put(Succession("o", "superseded by", "", "A1", "", "B2"))
            return super().read(size)

    wish = asked("successions", "history.csv")
    with open_store(db, now=stored.NOW) as store:
        slow = Arrived("history.csv", Slow(f"{HEAD},B2,,A1\n".encode()), folder)
        with pytest.raises(StoreTrouble, match="import the list again"):
            bring_in(store, wish, slow, stored.NOW)
        assert steps(db) == ["A1>B2"]
        again = Arrived("history.csv", io.BytesIO(f"{HEAD},B2,,A1\n".encode()), folder)
        assert len(bring_in(store, wish, again, stored.NOW).findings) == 1


def test_one_bad_row_is_one_and_two_are_rows(db):
    one = bring(db, ",A1,,B2\n,A2,,\n").out
    assert "1 bad row\n" in one
    assert "The bad row is in history.to-mend.csv: correct it there" in one
    two = bring(db, ",A1,,B2\n,A2,,\n,A3,,\n").out
    assert "2 bad rows\n" in two
    assert "The bad rows are in history.to-mend.csv: correct them there" in two
