"""Plates written from old conventions before anybody looked at how they are read, in two halves by their text.

The working half may be looked at: vocabulary, rates and thresholds follow from it. The scored half is only counted.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal

from support.plates import TypedPlate

FOLDER = Path(__file__).parents[1] / "benchmarks" / "unseen"
Half = Literal["working", "scored"]


@dataclass(frozen=True, slots=True)
class UnseenPlate:
    """A plate as typed, what it says, and which half it is in. kind: of an unknown one the noun of its kind; noun: the
    word on it that names that; beyond: what the schema can't hold."""

    plate: TypedPlate
    usual: bool
    half: Half
    about: str
    kind: str = ""
    noun: str = ""
    beyond: str = ""


def half_of(text: Sequence[str]) -> Half:
    """The half of a plate, by a hash of its text."""
    return "working" if sha256("\n".join(text).encode()).digest()[0] % 2 else "scored"


def unseen(name: str) -> tuple[UnseenPlate, ...]:
    """The plates of a family, or of "unknown" kinds, in the order of their file."""
    return tuple(map(_plate, tomllib.loads((FOLDER / f"{name}.toml").read_text())["plate"]))


def _plate(said: dict[str, Any]) -> UnseenPlate:
    text = tuple(said["text"])
    return UnseenPlate(
        TypedPlate(text, said.get("expect", {})),
        said["habit"] == "usual",
        half_of(text),
        said["about"],
        said.get("kind", ""),
        said.get("noun", ""),
        said.get("beyond", ""),
    )
