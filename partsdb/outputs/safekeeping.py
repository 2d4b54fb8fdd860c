"""What was backed up, restored, checked and moved; what sources say of one part; the history of a number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from partsdb.outputs.words import bullets, wrapped


def backup_lines(made: Path, kept: Sequence[Path], width: int) -> list[str]:
    """The backup made, and how many are kept."""
    return wrapped(f"Backed up, checked: {made} ({len(kept)} kept).", width)


def restored_lines(backup: Path, aside: Path | None, width: int) -> list[str]:
    """The backup that is now the database, and where the one before is."""
    lines = wrapped(f"The records are again as in {backup}.", width)
    return lines + (wrapped(f"As they were before: {aside}", width) if aside else [])


def check_lines(database: Path, faults: Sequence[str], newest: Path | None, width: int) -> list[str]:
    """What the check found, and the way out."""
    kept = f"newest backup: {newest}" if newest else "no backup yet: `partsdb backup`"
    if not faults:
        return wrapped(f"Sound: {database}; {kept}.", width)
    do = "Damage: `partsdb restore newest`. A circle: correct the list and import all of it with --full."
    return [
        *wrapped(f"Faults in {database}; {kept}.", width),
        *bullets(faults, width, "  ! "),
        *wrapped(do, width),
    ]


def kinds_checked(found: Mapping[str, Sequence[str]], width: int) -> list[str]:
    """Every kind of part with its faults."""
    lines = []
    for name, faults in found.items():
        lines += wrapped(f"{name}: {'sound' if not faults else f'{len(faults)} faults'}", width)
        lines += bullets(faults, width, "  ! ")
    return lines


def moved_lines(target: Path, rows: int | None, width: int) -> list[str]:
    """Where everything is now."""
    told = "Everything" if rows is None else f"Everything, {rows} rows,"
    return wrapped(f"{told} is in {target}.", width)
