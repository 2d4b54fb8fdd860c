"""Every command that writes, with a line that makes it write; and what it leaves where it is refused."""

from __future__ import annotations

import shlex
from dataclasses import dataclass
from pathlib import Path

import pytest

from partsdb.store import dialect, logical_dump, open_store
from support import stored, trouble
from support.commands import Ran, partsdb

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

ROOM = [pytest.param(trouble.short_files, id="limited files")]
ROOM += [pytest.param(trouble.no_room, id="full disk")] * trouble.disks_can_be_made()


def furnish(folder: Path, furnished: Path) -> None:
    """Puts the lists there, a copy of that shop with an order placed and a dispute open, a backup and an export."""
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


def run(row: Row, files: Path, records: Path) -> Ran:
    """The command on the database in `records`, with what it reads in `files`."""
    line = row.line.format(files=files, records=records, backup=next((files / "backups").glob("*.db")))
    return partsdb(shlex.split(line), records / "shop.db", typed=row.typed)


State = tuple[list[str], list[str]]


def state(folder: Path) -> State:
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


def no_room_words(kind: object) -> tuple[str, ...]:
    """What the line says of it: of a quota the engine can't tell more than that the disk failed."""
    full = ("is full. Nothing was changed; make room",)
    return (
        full
        if kind is trouble.no_room
        else (*full, "failed to read or write. Check the disk; nothing was changed")
    )
