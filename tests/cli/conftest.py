"""A shop on disk, made once and copied for each test that needs one."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from support.ropeworks import build


@pytest.fixture(scope="session")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(tmp_path_factory.mktemp("shop") / "shop.db")


@pytest.fixture
def shop(furnished: Path, tmp_path: Path) -> Path:
    """A database of its own for one test."""
    for file in furnished.parent.glob("shop.db*"):
        shutil.copy(file, tmp_path / file.name)
    return tmp_path / "shop.db"
