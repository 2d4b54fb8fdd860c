"""The families of tests/support/more_families, imported as if their folders stood beside the real ones."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

import partsdb.families as folder
from partsdb.family import Family

FOLDER = Path(__file__).parent / "more_families"
NAMES = tuple(sorted(p.name for p in FOLDER.iterdir() if (p / "__init__.py").is_file()))


def extra_families() -> dict[str, Family]:
    """Every extra family by name. The folder is on the path of `partsdb.families` only meanwhile, so that discovery
    elsewhere doesn't see them; what is imported stays imported."""
    before = list(folder.__path__)
    folder.__path__ = [*before, str(FOLDER)]
    try:
        return {name: import_module(f"{folder.__name__}.{name}").FAMILY for name in NAMES}
    finally:
        folder.__path__ = before
