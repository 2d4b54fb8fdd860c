"""The commands as a person meets them: examples run, bad input is one line, nothing is lost."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from typer.main import get_command

from partsdb.cli.app import app
from support.commands import partsdb


def _commands(group: object, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], object]]:
    for name, command in sorted(getattr(group, "commands", {}).items()):
        if getattr(command, "commands", None):
            yield from _commands(command, (*path, name))
        else:
            yield (*path, name), command


COMMANDS = dict(_commands(get_command(app)))
# what must have happened before an example makes sense
BEFORE = {
    ("order", "news"): ("order place ropes",),
    ("order", "list"): ("order place ropes",),
    ("restore",): ("backup",),
    ("bring-back",): ("export everything",),
}


@pytest.mark.parametrize("path", COMMANDS, ids=" ".join)
def test_every_command_has_help_and_an_example(path):
    command = COMMANDS[path]
    assert command.help and command.help.strip().endswith(".")
    assert re.match(r"Example: partsdb " + " ".join(path) + r"\b", command.epilog or ""), command.epilog


@pytest.mark.parametrize("path", [p for p in COMMANDS if p != ("demo",)], ids=" ".join)
def test_the_example_of_each_command_runs(path, shop, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "prices.csv").write_text(
        "supplier,kind,designation,price,stock,capacitance,voltage_ac,service\n"
        "Ardlethwaite Electrical Factors,ac_capacitor,AE-30,15.00,in stock,30 µF,450 V,run\n",
        encoding="utf-8",
    )
    for line in BEFORE.get(path, ()):
        assert partsdb(line, shop).code == 0
    line = (COMMANDS[path].epilog or "").removeprefix("Example: partsdb ")
    ran = partsdb(line, shop)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.strip()


@pytest.mark.parametrize(
    "line",
    [
        "identify",
        'identify "25 [MFD"',
        'identify "25 MFD" -m "52 parsecs"',
        'identify "25 MFD" -m "nonsense"',
        'identify "25 MFD" --kind teapot',
        'identify "25 MFD" --machine nowhere',
        'equivalents "25 MFD" -d "supply_voltage=NaN V"',
        'equivalents "25 MFD" -d "starting=sometimes"',
        'equivalents "25 MFD" -d "mood=good"',
        "words teapot",
        "plan nothing",
        "plan ropes --target 1.5",
        "plan ropes --target 0.9 --budget 100",
        "plan ropes --budget minus",
        "job add x strander --due yesterday",
        "job add x strander --due 2026-06-10T16:00",
        "machine add strander",
        'shelf add "????" ',
        'shelf add --kind capacitor --set "voltage_ac=many V"',
        "shelf add --kind capacitor",
        'shelf add "25 µF 440 V AC run" --condition lovely',
        'shop set X --hours "sometimes"',
        "shop set X --zone Mars/Olympus",
        "import offers no-such-file.csv",
        "import teapots prices.csv",
        "order news ropes seal late",
        "nonsense",
        "identify --nonsense",
    ],
)
def test_bad_input_is_one_clear_line_and_changes_nothing(line, shop):
    before = partsdb("machine list --json", shop).out, partsdb("shelf list --json", shop).out
    ran = partsdb(line, shop)
    assert ran.code == 2, ran
    assert ran.out == ""
    assert ran.err.count("\n") == 1
    assert "Traceback" not in ran.err
    assert (partsdb("machine list --json", shop).out, partsdb("shelf list --json", shop).out) == before


@pytest.mark.parametrize(
    "line",
    [
        'identify "2? MFD" "440 VAC"',
        'equivalents "25 MFD" "440 VAC 60 CY" --machine strander',
        "words",
        "words duty",
        "words capacitor",
        "shop show",
        "machine list",
        "position list strander",
        "shelf list",
        "suppliers",
        "job list",
        "plan ropes --runs 1000",
        "order list ropes",
        "history strander",
        "stand-ins",
        "cause strander",
        "backup",
        "check",
        "disputes",
        "numbers HK-20-450",
    ],
)
def test_every_answer_has_a_machine_readable_twin(line, shop):
    ran = partsdb(f"{line} --json", shop)
    assert ran.code == 0, ran.err
    assert json.loads(ran.out) is not None


@pytest.mark.parametrize("columns", [60, 72, 100])
def test_answers_stay_inside_the_screen(columns, shop):
    for line in ('equivalents "2? MFD" "44? VAC" --machine strander', "plan ropes --runs 1000"):
        ran = partsdb(line, shop, columns=columns)
        assert ran.code == 0, ran.err
        assert max(map(len, ran.out.splitlines())) <= columns


def test_help_loads_nothing_heavy():
    script = (
        "import sys\nfrom partsdb.cli import run\n"
        "for line in (['--help'], ['plan', '--help'], ['order', 'news', '--help']):\n"
        "    assert run(line) == 0\n"
        "heavy = {'numpy', 'sqlalchemy', 'alembic', 'highspy', 'holidays', 'httpx'} & set(sys.modules)\n"
        "sys.exit(f'loaded {heavy}' if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_one_fragment_and_no_setup_at_all_gives_a_useful_answer(tmp_path: Path):
    ran = partsdb('equivalents "25 MFD 440 VAC"', tmp_path / "none.db")
    assert ran.code == 0, ran.err
    assert "25 µF" in ran.out
    assert "ASK FOR" in ran.out
    assert "CAUTION" in ran.out
    assert not (tmp_path / "none.db").exists()


def test_a_look_up_is_silent_about_progress_in_a_pipe(shop):
    assert partsdb('identify "25 MFD"', shop).err == ""


def test_the_version_is_that_of_the_package(tmp_path):
    from importlib.metadata import version

    assert partsdb("--version", tmp_path / "x.db").out.strip() == f"partsdb {version('partsdb')}"
