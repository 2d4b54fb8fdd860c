"""The project as it is shipped: every folder is in the wheel, and the wheel runs the demo far from the checkout."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
import venv
from pathlib import Path

import pytest

from support.extra_families import FOLDER, NAMES

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "partsdb",
    "migrations",
    "importers",
    "tests",
    "seed_data",
}


def _folders() -> set[str]:
    found = set()
    for top in ("partsdb", "importers", "migrations", "seed_data"):
        for file in (ROOT / top).rglob("*.py"):
            parts = file.parent.relative_to(ROOT).parts
            if parts[:2] == ("partsdb", "families") and len(parts) > 2:
                continue  # a family travels with its folder
            found.add(".".join(parts if top == "partsdb" else ("partsdb", *parts)))
    return found


def test_every_folder_that_holds_code_is_listed_for_the_wheel():
    assert _folders() == set(PROJECT["tool"]["setuptools"]["packages"])


def test_the_top_level_is_exactly_what_was_agreed():
    tracked = subprocess.run(
        ["git", "ls-tree", "--name-only", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if tracked.returncode:
        pytest.fail("this test needs the git checkout")
    names = {n for n in tracked.stdout.split() if not n.startswith(".") and not n.endswith(".lock")}
    assert names == TOP


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An environment that holds nothing but the wheel."""
    work = tmp_path_factory.mktemp("wheel")
    copy = work / "source"
    shutil.copytree(
        ROOT,
        copy,
        ignore=shutil.ignore_patterns(".venv", ".git", "*.egg-info", "build", "__pycache__", ".*_cache"),
    )
    # families of the future: put beside the others before the wheel is made, listed nowhere
    for name in NAMES:
        shutil.copytree(FOLDER / name, copy / "partsdb/families" / name)
    build = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--quiet",
        "--no-deps",
        "--wheel-dir",
        str(work),
        str(copy),
    ]
    subprocess.run(build, check=True, cwd=work)
    venv.create(work / "env", with_pip=True)
    python = work / "env" / "bin" / "python"
    wheel = next(work.glob("*.whl"))
    subprocess.run([str(python), "-m", "pip", "install", "--quiet", str(wheel)], check=True, cwd=work)
    return work


def test_the_wheel_takes_every_family_by_its_folder(installed, tmp_path):
    ran = subprocess.run(
        [str(installed / "env" / "bin" / "partsdb"), "--db", str(tmp_path / "x.db"), "words"],
        cwd=tmp_path,
        env={"PATH": os.environ["PATH"], "HOME": str(tmp_path), "COLUMNS": "80"},
        capture_output=True,
        text=True,
        check=True,
    )
    folders = {p.name for p in (ROOT / "partsdb/families").iterdir() if (p / "__init__.py").is_file()}
    assert {"contactor", "v_belt"} <= folders
    assert {"pilot_lamp", "cartridge_fuse"} <= set(NAMES)
    for name in (*folders, *NAMES):
        assert f"  {name}:" in ran.stdout, ran.stdout


def test_the_wheel_runs_the_demo_in_an_empty_environment_outside_the_checkout(installed, tmp_path):
    ran = subprocess.run(
        [str(installed / "env" / "bin" / "partsdb"), "demo", "--runs", "2000"],
        cwd=tmp_path,
        env={"PATH": os.environ["PATH"], "HOME": str(tmp_path), "COLUMNS": "80"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    assert "ready in time" in ran.stdout
    assert ran.stderr == ""
    assert list(tmp_path.iterdir()) == []


def test_the_wheel_puts_one_name_into_the_environment(installed):
    names = {
        p.name
        for p in (installed / "env").glob("lib/*/site-packages/*")
        if "partsdb" in p.name or p.name in TOP
    }
    assert {n for n in names if not n.endswith(".dist-info")} == {"partsdb"}
