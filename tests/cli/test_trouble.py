"""Every command that writes, in every kind of trouble: one clear line, code 2, and everything as it was.

A new command gets a row below; `test_every_command_has_its_row` fails until it has one.
"""

from __future__ import annotations

import contextlib
import shlex
import shutil
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import pytest
import typer
from sqlalchemy import event

from partsdb.cli.app import app
from partsdb.records import Machine
from partsdb.store import dialect, logical_dump, open_store, restore
from partsdb.store.schema import REVISIONS
from support import stored, trouble
from support.commands import Ran, partsdb
from support.rude_server import ok, rude_server

PART = "kind,designation,maker,quantity,condition,capacitance,voltage_ac,service\n"
LISTS = {
    "suppliers.csv": "name,zone,country,cut-off,transit days,freight\nTrelvanik,Europe/London,GB,15:30,1-2,6.50\n",
    "drawer.csv": PART + "ac_capacitor,ZQ-25,Ottermoor,1,new,25 µF,450 V,run\n",
    "maker.csv": PART + "ac_capacitor,ZQ-25,Ottermoor,0,,25 µF,250 V,run\n",
    "other.csv": PART + "ac_capacitor,ZQ-26,Ottermoor,2,new,26 µF,450 V,run\n",
    "prices.csv": "supplier,designation,price\nPellbrunn Antriebsteile,PB-K40,9.50\n",
    "history.csv": "old number,new number\nZQ-20,ZQ-25\n",
}
BEFORE = (
    "import shelf {files}/drawer.csv",
    "import catalogue {files}/maker.csv",
    "order place ropes",
    "job add hawsers strander --due 2026-06-20T16:00+01:00 --late-day 450",
    'job want hawsers "SIZE 2" "COIL 110 V 60 CY" --title contactor --position "main contactor" --hours 3',
    "backup --folder {files}/backups",
    "export {files}/everything",
)


@dataclass(frozen=True)
class Row:
    """A command that writes. to: "records" into the database; "files" beside it, while others may write."""

    command: str
    line: str
    to: str = "records"
    typed: str = ""


ROWS = (
    Row("", "", typed="25 MFD; 440 VAC 60 CY\n2\nd\n?\np\nfri 16:00 400\n"),
    Row("shop set", "shop set Ropery --fitters 3"),
    Row("machine add", "machine add winder --year 1948"),
    Row("position add", 'position add strander "pump contactor" --kind contactor'),
    Row("shelf add", 'shelf add "30 µF 450 V AC" --kind capacitor'),
    Row("shelf tested", 'shelf tested "20 µF"'),
    Row("job add", "job add nets strander --due 2026-06-20T16:00+01:00"),
    Row("job want", 'job want ropes "20 MFD" "440 VAC" --title "another capacitor"'),
    Row("job way-out", 'job way-out ropes "ask a neighbour" --cost 900 --decide-by 2026-06-05T12:00+01:00'),
    Row("order place", "order place hawsers"),
    Row("order news", "order news ropes contactor late --supplier Quor --day 2026-06-08"),
    Row("order rung", 'order rung Ardle "65 A" no --lead-days 6-8'),
    Row("decide", 'decide strander "main contactor" "40 A, AC-4" --why inched'),
    Row("settle", 'settle ZQ-25 voltage_ac drawer.csv --why "read off one"'),
    Row("import", "import suppliers {files}/suppliers.csv"),
    Row("import", "import shelf {files}/other.csv"),
    Row("import", "import offers {files}/prices.csv"),
    Row("import", "import successions {files}/history.csv"),
    Row("restore", "restore {backup}"),
    Row("backup", "backup", "files"),
    Row("export", "export {records}/out", "files"),
    Row("bring-back", "bring-back {files}/everything --into {records}/new.db", "files"),
)
READS = {
    "identify": 'identify "25 MFD"',
    "equivalents": 'equivalents "25 MFD" "440 VAC 60 CY" --machine strander',
    "shop show": "shop show",
    "machine list": "machine list",
    "position list": "position list strander",
    "shelf list": "shelf list",
    "suppliers": "suppliers",
    "job list": "job list",
    "plan": "plan ropes --runs 1000",
    "order list": "order list ropes",
    "history": "history strander",
    "stand-ins": "stand-ins",
    "cause": "cause strander",
    "check": "check",
    "disputes": "disputes",
    "numbers": "numbers ZQ-25",
}
ALONE = {"words", "demo"}
"""Commands that open no database of the person's."""

each_row = pytest.mark.parametrize(
    "row", ROWS, ids=lambda row: " ".join(row.line.split()[:2]) or "conversation"
)
ROOM = [pytest.param(trouble.short_files, id="limited files")]
ROOM += [pytest.param(trouble.no_room, id="full disk")] * trouble.disks_can_be_made()


@pytest.fixture(scope="module")
def files(furnished: Path) -> Iterator[Path]:
    """The lists, a backup, an export, and the shop they are of, in a folder that everybody may read."""
    with trouble.disk(tiny=False) as folder:
        filled(folder, furnished)
        yield folder


def filled(folder: Path, furnished: Path) -> None:
    for name, text in LISTS.items():
        (folder / name).write_text(text, encoding="utf-8")
    copied(furnished, folder)
    for line in BEFORE:
        ran = partsdb(line.format(files=folder), folder / "shop.db")
        assert ran.code == 0, (line, ran)


def copied(db: Path, folder: Path) -> Path:
    """The database alone, without what the engine keeps beside it."""
    dialect.copy(db, folder / "shop.db", 1)
    return folder / "shop.db"


@pytest.fixture(scope="module")
def warm(files: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[Row, tuple[int, str, bool]]:
    """What each row does where there is no trouble: code, complaint, whether it changed anything.

    All that a command loads is loaded then, so that it needn't be read by one who may not.
    """
    found = {}
    for row in ROWS:
        folder = tmp_path_factory.mktemp("warm")
        copied(files / "shop.db", folder)
        before = state(folder)
        ran = run(row, files, folder)
        found[row] = (ran.code, ran.err, state(folder) != before)
    return found


@pytest.fixture(scope="module")
def records(files: Path, warm: object) -> Iterator[Path]:
    """The folder with the database that gets into trouble, again and again: nothing may change it."""
    with trouble.disk(tiny=len(ROOM) > 1) as folder:
        copied(files / "shop.db", folder)
        yield folder


@pytest.fixture(autouse=True)
def impatient(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nobody waits long for another writer."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("partsdb.store.open_store", partial(open_store, wait=0.05))
    monkeypatch.setattr("partsdb.services.safekeeping.restore", partial(restore, wait=0.05))


def run(row: Row, files: Path, records: Path) -> Ran:
    line = row.line.format(files=files, records=records, backup=next((files / "backups").glob("*.db")))
    return partsdb(shlex.split(line), records / "shop.db", typed=row.typed)


def state(folder: Path) -> tuple[list[str], list[str]]:
    """Everything the database says, and the names of the files around it but the engine's own."""
    names = [str(path.relative_to(folder)) for path in folder.rglob("*")]
    kept = sorted(name for name in names if not name.endswith(("-wal", "-shm")))
    if "shop.db" not in kept:
        return [], kept
    assert dialect.faults_in(folder / "shop.db") == ()
    with open_store(folder / "shop.db", now=stored.NOW) as store:
        return list(logical_dump(store)), kept


def refused(ran: Ran, row: Row, *words: str) -> None:
    """One clear line that has one of those words, and nothing else; the conversation may have asked by then."""
    assert ran.code == 2, ran
    assert row.command == "" or ran.out == ""
    assert ran.err.count("\n") == 1, ran.err
    assert "Traceback" not in ran.out + ran.err
    assert any(word in ran.err for word in words), ran.err


# --------------------------------------------------------------------------- the table itself


def commands(program: typer.Typer) -> set[str]:
    """Every command there is, "" for the program without one."""
    root = typer.main.get_command(program)
    found = {""} if getattr(root, "invoke_without_command", False) else set()
    todo = [("", root)]
    while todo:
        prefix, group = todo.pop()
        for name, command in group.commands.items():
            if hasattr(command, "commands"):
                todo.append((f"{prefix}{name} ", command))
            else:
                found.add(f"{prefix}{name}")
    return found


def without_row(program: typer.Typer) -> set[str]:
    """The commands that nobody has looked at in trouble."""
    return commands(program) - {row.command for row in ROWS} - READS.keys() - ALONE


def test_every_command_has_its_row():
    assert without_row(app) == set()
    assert {row.command for row in ROWS} | READS.keys() | ALONE == commands(app)


def test_a_command_without_a_row_is_found():
    planted = typer.Typer()
    machine = typer.Typer()
    machine.command("add")(lambda: None)
    machine.command("sell")(lambda: None)
    planted.add_typer(machine, name="machine")
    planted.command("burn")(lambda: None)
    assert without_row(planted) == {"machine sell", "burn"}


@each_row
def test_each_of_these_writes_where_there_is_no_trouble(row, warm):
    assert warm[row] == (0, "", True)


def test_no_other_command_writes(files, tmp_path):
    copied(files / "shop.db", tmp_path)
    before = state(tmp_path)
    for command, line in READS.items():
        ran = partsdb(line, tmp_path / "shop.db")
        assert ran.code == 0, (command, ran)
        assert state(tmp_path) == before, command


# --------------------------------------------------------------------------- trouble


@each_row
def test_while_another_writes_a_writer_is_refused_and_a_copier_isnt(row, files, records):
    before = state(records)
    with trouble.another_writer(records / "shop.db"):
        ran = run(row, files, records)
    if row.to == "records":
        refused(
            ran, row, "is being written by another program. Nothing was changed; wait a moment and try again"
        )
    else:
        assert (ran.code, ran.err) == (0, "")
        tidied(records)
    assert state(records) == before


def tidied(records: Path) -> None:
    """What a copier made goes again."""
    shutil.rmtree(records / "out", ignore_errors=True)
    shutil.rmtree(records / "backups", ignore_errors=True)
    for left in records.glob("new.db*"):
        left.unlink()


def no_room_words(kind: object) -> tuple[str, ...]:
    """What the line says of it: of a quota the engine can't tell more than that the disk failed."""
    full = ("is full. Nothing was changed; make room",)
    return (
        full
        if kind is trouble.no_room
        else (*full, "failed to read or write. Check the disk; nothing was changed")
    )


@each_row
@pytest.mark.parametrize("kind", ROOM)
def test_where_there_is_no_room_nothing_is_half_done(row, kind, files, records):
    before = state(records)
    with trouble.another_reader(records / "shop.db"), kind(records / "shop.db"):
        assert partsdb("machine list", records / "shop.db").code == 0
        ran = run(row, files, records)
    refused(ran, row, *no_room_words(kind))
    assert state(records) == before


@pytest.mark.parametrize("kind", ROOM)
def test_where_there_is_no_room_to_look_either_that_is_one_line(kind, files, records):
    """The first to open a database makes a file beside it, even to look."""
    before = state(records)
    for file in records.glob("shop.db-*"):
        file.unlink()
    with kind(records / "shop.db"):
        refused(run(row := Row("machine list", "machine list"), files, records), row, *no_room_words(kind))
    assert state(records) == before


@each_row
def test_in_a_folder_that_may_not_be_written_nothing_is_changed(row, files, records):
    before = state(records)
    with trouble.read_only(records / "shop.db"):
        ran = run(row, files, records)
    refused(ran, row, "Allow it, or name another file with --db or PARTSDB_DB")
    assert state(records) == before


@each_row
def test_a_database_of_a_newer_version_is_written_by_nobody(row, files, records):
    if row.command in ("restore", "bring-back"):
        return  # these put another in its place, or make another: tests/cli/test_safekeeping.py
    before = state(records)
    with trouble.newer(records / "shop.db"):
        ran = run(row, files, records)
    refused(ran, row, "was made by a newer version of this program")
    assert "Update the program" in ran.err
    assert state(records) == before


# --------------------------------------------------------------------------- the first opening, and an upgrade

FIRST = ("machine add winder", "machine list", "bring-back {files}/everything", "restore {backup}")


@pytest.fixture
def folder(files: Path, warm: object) -> Iterator[Path]:
    """A folder without a database."""
    with trouble.disk(tiny=len(ROOM) > 1) as made:
        yield made


@pytest.mark.parametrize("line", FIRST)
@pytest.mark.parametrize("kind", [*ROOM, pytest.param(trouble.read_only, id="read-only folder")])
def test_a_database_that_cant_be_made_is_one_line_and_then_it_can(line, kind, files, folder):
    row = Row(line.split()[0], line)
    with kind(folder / "shop.db"):
        refused(
            run(row, files, folder), row, "make room", "failed to read or write", "Allow it, or name another"
        )
    assert [path.name for path in folder.iterdir() if path.stat().st_size] == []
    assert run(row, files, folder).code == 0


def older(folder: Path) -> Path:
    """The database of the version before this one, without room that the way back left in it."""
    db = stored.older(folder, REVISIONS[-2]).rename(folder / "shop.db")
    with contextlib.closing(sqlite3.connect(db)) as raw:
        raw.execute("VACUUM")
    return db


def raw_state(folder: Path) -> tuple[list[str], list[str]]:
    """What the database says, without opening it as this program does, and the files there."""
    with contextlib.closing(sqlite3.connect(folder / "shop.db")) as raw:
        said = list(raw.iterdump())
    return said, sorted(path.name for path in folder.iterdir() if not path.name.endswith(("-wal", "-shm")))


@pytest.mark.parametrize("line", ["machine add winder", "machine list"])
@pytest.mark.parametrize(
    ("kind", "says"),
    [
        (trouble.another_writer, "being written by another program"),
        (trouble.read_only, "Allow it, or name another file"),
        *((kind.values[0], "") for kind in ROOM),
    ],
)
def test_an_upgrade_that_cant_be_made_leaves_the_older_database(line, kind, says, files, folder):
    db = older(folder)
    before = raw_state(folder)
    with trouble.another_reader(db), kind(db):
        row = Row(line.split()[0], line)
        refused(run(row, files, folder), row, *([says] if says else no_room_words(kind)))
    assert raw_state(folder) == before
    assert run(Row("machine list", "machine list"), files, folder).code == 0
    assert list(folder.glob(f"shop-schema{REVISIONS[-2]}-*.db"))


def test_a_copy_made_for_an_upgrade_goes_again_when_the_upgrade_fails(files, folder, monkeypatch):
    older(folder)
    before = raw_state(folder)
    made = dialect.engine

    def small(path: Path, wait: float, **more: bool) -> object:
        found = made(path, wait, **more)

        @event.listens_for(found, "connect")
        def _limit(raw: sqlite3.Connection, _: object) -> None:  # SQLite's own "disk is full"
            raw.execute(f"PRAGMA max_page_count = {raw.execute('PRAGMA page_count').fetchone()[0]}")

        return found

    row = Row("machine list", "machine list")
    with monkeypatch.context() as patched:
        patched.setattr(dialect, "engine", small)
        refused(run(row, files, folder), row, "is full. Nothing was changed; make room")
    assert raw_state(folder) == before
    assert run(row, files, folder).code == 0


# --------------------------------------------------------------------------- two writers


def test_two_writers_both_get_in_one_after_the_other(files, tmp_path, monkeypatch):
    monkeypatch.setattr("partsdb.store.open_store", open_store)
    db = copied(files / "shop.db", tmp_path)
    begun = threading.Event()

    def other() -> None:
        with contextlib.closing(sqlite3.connect(db)) as raw:
            raw.isolation_level = None
            raw.execute("BEGIN IMMEDIATE")
            raw.execute("UPDATE machines SET notes = 'seen by the other one'")
            begun.set()
            time.sleep(0.3)
            raw.execute("COMMIT")

    writer = threading.Thread(target=other)
    writer.start()
    begun.wait()
    ran = partsdb("machine add winder", db)
    writer.join()
    assert (ran.code, ran.err) == (0, "")
    with open_store(db, now=stored.NOW) as store:
        assert {m.name: m.notes for m in store.all(Machine)} == {
            "strander": "seen by the other one",
            "winder": "",
        }


def test_a_restore_waits_for_another_writer_and_not_for_ever(files, tmp_path):
    db = copied(files / "shop.db", tmp_path)
    backup = next((files / "backups").glob("*.db"))
    partsdb("machine add winder", db)
    before = state(tmp_path)
    with trouble.another_writer(db):
        row = Row("restore", f"restore {backup}")
        refused(run(row, files, tmp_path), row, "being written by another program")
    assert state(tmp_path) == before
    assert partsdb(f"restore {backup}", db).code == 0
    assert "winder" not in partsdb("machine list", db).out


# --------------------------------------------------------------------------- the answer itself, and other files


def test_an_answer_that_cant_be_printed_is_one_line(files):
    """/dev/full is the kernel's own disk without room."""
    code = "import sys; from partsdb.cli import main; main(sys.argv[1:])"
    with Path("/dev/full").open("w") as full:
        ran = subprocess.run(
            [sys.executable, "-c", code, "--db", str(files / "shop.db"), "machine", "list"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert ran.returncode == 2
    assert ran.stderr.count("\n") == 1
    assert "no space left on device" in ran.stderr


def test_a_list_that_finds_no_room_while_it_is_fetched_is_one_line(files, records, monkeypatch):
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    before = state(records)
    with rude_server() as server:
        address = server.serve("/prices.csv", ok(LISTS["prices.csv"].encode() + b"x" * 20_000))
        with trouble.another_reader(records / "shop.db"), trouble.short_files(records / "shop.db"):
            ran = run(row := Row("import", f"import offers {address}"), files, records)
    refused(ran, row, "can't be kept while it is read")
    assert "TMPDIR" in ran.err
    assert state(records) == before


def test_a_newer_backup_and_a_newer_export_are_left_alone(files, records, tmp_path):
    backup = copied(files / "shop.db", tmp_path)
    shutil.copytree(files / "everything", tmp_path / "everything")
    manifest = tmp_path / "everything" / "manifest.json"
    manifest.write_text(manifest.read_text().replace(f'"{REVISIONS[-1]}"', '"9999"'))
    before = state(records)
    with trouble.newer(backup):
        refused(
            run(row := Row("restore", f"restore {backup}"), files, records),
            row,
            "is not a backup this program can",
        )
    row = Row("bring-back", f"bring-back {tmp_path}/everything --into {records}/new.db")
    refused(run(row, files, records), row, "exported by a newer version. Update the program")
    assert state(records) == before
