"""Hand-typed plates, the damage that is done to them, and near neighbours to be confused with."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from partsdb.family import Family, Field
from partsdb.model import Hypothesis, KnownPart, Spec, Value
from partsdb.quantities import to_si
from partsdb.reading.instruments import as_value, row_values
from partsdb.reading.known import row_of, stated
from partsdb.reading.lexicon import variable_spellings
from partsdb.reading.templates import Variable, first_text, parse

FOLDER = Path(__file__).parents[1] / "benchmarks" / "plates"
# What a worn glyph is taken for when it is misread: drawn up apart from tables/glyphs.csv, so that the decoder
# is also tried on confusions it doesn't list.
_MISREAD = {
    "0": "OD8C", "1": "I7L/", "2": "Z7", "3": "8B5", "4": "A9H", "5": "S68", "6": "G8B0", "7": "1TY", "8": "B360",
    "9": "4G8", "A": "4RH", "B": "8RE", "C": "GOE", "D": "O0B", "E": "FBL", "F": "EPT", "G": "C6O", "H": "NMK",
    "I": "1LT", "K": "XHR", "L": "IE", "M": "NWH", "N": "HM", "O": "0QC", "P": "FRB", "R": "PBK", "S": "58",
    "T": "7IY", "U": "VJO", "V": "UYW", "W": "VM", "X": "KY", "Y": "VT", "Z": "27",
}  # fmt: skip
_ANY = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


@dataclass(frozen=True, slots=True)
class TypedPlate:
    """A plate as typed from an undamaged part, and what it says: attribute (with #variant, @qualifier) -> text."""

    text: tuple[str, ...]
    expect: Mapping[str, str]


def typed_plates(name: str) -> tuple[TypedPlate, ...]:
    """The hand-typed plates of a family; () when there are none yet."""
    path = FOLDER / f"{name}.toml"
    if not path.exists():
        return ()
    return tuple(TypedPlate(tuple(p["text"]), p["expect"]) for p in tomllib.loads(path.read_text())["plate"])


def expected_value(family: Family, name: str, text: str) -> Value:
    """An expectation as a Value: "25 µF", "88-108 µF", "3", or a code word."""
    unit = family.attribute(name).unit
    if unit is None:
        return as_value(name, text)
    ends = [to_si(float(end), unit) for end in re.split(r"(?<=\d)-", text.removesuffix(unit).strip())]
    return as_value(name, ends[0] if len(ends) == 1 else (ends[0], ends[1]))


def says_it(family: Family, spec: Spec, expected: Value) -> bool:
    """Whether a specification says what is expected of one attribute."""
    tolerance = max(family.attribute(expected.attribute).rel_tol, 1e-3)
    for value in spec.all(expected.attribute):
        if (value.qualifier, value.variant) != (expected.qualifier, expected.variant):
            continue
        if expected.code is not None:
            return (value.code or "").casefold() == expected.code.casefold()
        ends = ((value.low, expected.low), (value.high, expected.high))
        return all(a is not None and b is not None and abs(a - b) <= tolerance * abs(b) for a, b in ends)
    return False


def is_truth(family: Family, plate: TypedPlate, found: Hypothesis) -> bool:
    """Whether a hypothesis says every identity attribute that the plate states."""
    if found.spec.family != family.name:
        return False
    names = [name for name in plate.expect if family.attribute(name).identity]
    return all(says_it(family, found.spec, expected_value(family, n, plate.expect[n])) for n in names)


def sureness(family: Family, plate: TypedPlate, hypotheses: Sequence[Hypothesis]) -> float:
    """How sure the answer is of what the plate states: the probability of all hypotheses that say of it what
    the best one says (they may differ in what this plate never said)."""

    def answer(found: Hypothesis) -> tuple[object, ...]:
        names = [name for name in plate.expect if family.attribute(name).identity]
        wanted = [as_value(name, 0.0) for name in names]
        return (
            found.spec.family,
            *(_rounded(_same(found.spec, want)) for want in wanted),
        )

    if hypotheses[0].spec.family != family.name:
        return sum(h.probability for h in hypotheses if h.spec.family == hypotheses[0].spec.family)
    best = answer(hypotheses[0])
    return min(1.0, sum(h.probability for h in hypotheses if answer(h) == best))


def _rounded(value: Value | None) -> object:
    ends = (value.low, value.high) if value is not None else ()
    return (
        value.code if value is not None and value.code else tuple(f"{x:.4g}" for x in ends if x is not None)
    )


def _same(spec: Spec, want: Value) -> Value | None:
    found = (
        v for v in spec.all(want.attribute) if (v.qualifier, v.variant) == (want.qualifier, want.variant)
    )
    return next(found, None)


def _misread(char: str, rng: np.random.Generator) -> str:
    likely = _MISREAD.get(char.upper(), "")
    if likely and rng.random() < 0.7:
        return likely[int(rng.integers(len(likely)))]
    return _ANY[int(rng.integers(len(_ANY)))]


def damaged(text: Sequence[str], share: float, rng: np.random.Generator) -> list[str]:
    """The fragments with a share of their glyphs hurt: of the hurt places 75 % illegible, 15 % misread, 10 % the
    start of an illegible run (one to five glyphs, which count as hurt)."""
    places = [(f, k) for f, line in enumerate(text) for k, char in enumerate(line) if not char.isspace()]
    lines = [list(line) for line in text]
    left = round(share * len(places))
    for n in rng.permutation(len(places)):
        f, k = places[n]
        if left <= 0:
            break
        if lines[f][k] != text[f][k]:
            continue
        kind = rng.random()
        if kind < 0.75:
            lines[f][k] = "?"
        elif kind < 0.90:
            lines[f][k] = _misread(text[f][k], rng)
        else:
            long = min(int(rng.geometric(0.45)), 5, left)
            for at in range(k, min(k + long, len(lines[f]))):
                left -= at > k and not text[f][at].isspace() and lines[f][at] == text[f][at]
                lines[f][at] = "..." if at == k else ""
        left -= 1
    return ["".join(line) for line in lines]


def spec_of(family: Family, plate: TypedPlate) -> Spec:
    """What an undamaged plate says, as a specification."""
    return Spec(family.name, tuple(expected_value(family, n, t) for n, t in plate.expect.items()))


@dataclass(frozen=True, slots=True)
class _Truth:
    """A plate's specification by fields: what each says, and its row."""

    said: Mapping[str, tuple[object, ...]]
    row: Mapping[str, int]


def _by_fields(family: Family, spec: Spec) -> _Truth:
    said = {field.name: stated(spec, field) for field in family.fields}
    rows = {field.name: max(row_of(field, said[field.name]), 0) for field in family.fields}
    return _Truth({name: c for name, c in said.items() if any(x is not None for x in c)}, rows)


def _neighbour(family: Family, truth: _Truth, rng: np.random.Generator) -> Spec:
    """A specification that differs from the truth in one or two fields, mostly by a few rows."""
    values: list[Value] = []
    present = list(truth.said)
    changed = {present[int(rng.integers(len(present)))] for _ in range(int(rng.integers(1, 3)))}
    for field in family.fields:
        if field.name in changed:
            near = rng.random() < 0.7
            step = int(rng.integers(-3, 4)) if near else int(rng.integers(len(field.rows)))
            values += row_values(field, field.rows[(truth.row[field.name] + step) % len(field.rows)])
        elif field.name in truth.said:
            named = zip(field.attributes, truth.said[field.name], strict=True)
            values += [as_value(name, content) for name, content in named if content is not None]
        elif rng.random() < 0.15:
            values += row_values(field, field.rows[int(rng.integers(len(field.rows)))])
    return Spec(family.name, tuple(values))


def _lines(family: Family, field: Field, contents: Sequence[object]) -> list[tuple[str, frozenset[str]]]:
    """The field's contents in each writing that can say them, first spelling of everything, with the attributes
    that the writing names."""
    said = dict(zip(field.attributes, contents, strict=True))
    lines = []
    for writing in field.writings:
        names = _variables(writing.template)
        ways = {v.attribute: variable_spellings(family, v, said.get(v.attribute)) for v in names}
        if names and all(ways.values()):
            text = first_text(writing, {name: way[0][0] for name, way in ways.items()})
            lines.append((text, frozenset(ways)))
    return lines


def printed(family: Family, spec: Spec) -> list[str]:
    """The specification as a plate: each field in its first writing and first spelling."""
    return [line for field in family.fields for line, _ in _lines(family, field, stated(spec, field))[:1]]


def _variables(template: str) -> list[Variable]:
    found: list[Variable] = []

    def walk(parts: Sequence[object]) -> None:
        for part in parts:
            if isinstance(part, Variable):
                found.append(part)
            elif not isinstance(part, str):
                walk(part.ways[0])  # type: ignore[attr-defined]  # parts are texts, variables and choices

    walk(parse(template))
    return found


def catalogue(
    family: Family, plates: Sequence[TypedPlate], count: int, rng: np.random.Generator
) -> list[KnownPart]:
    """`count` distinct near neighbours of the plates' specifications, and every second plate's own; none for 0."""
    if count == 0:
        return []
    truths = [spec_of(family, plate) for plate in plates]
    seen = {truth.key for truth in truths}
    parts = [KnownPart(f"truth {n}", truth) for n, truth in enumerate(truths) if n % 2 == 0]
    bases, tries = [_by_fields(family, truth) for truth in truths], 0
    while len(parts) < count and tries < 40 * count:
        tries += 1
        spec = _neighbour(family, bases[tries % len(bases)], rng)
        if spec.key not in seen:
            seen.add(spec.key)
            parts.append(KnownPart(f"neighbour {len(parts)}", spec))
    return parts


def first_printed(family: Family, per_field: int) -> list[tuple[str, dict[str, object]]]:
    """Some rows of every field as the first writing that can say them: (text, what it says by attribute)."""
    found: list[tuple[str, dict[str, object]]] = []
    for field in family.fields:
        step = max(1, len(field.rows) // per_field)
        for row in field.rows[::step]:
            said = dict(zip(field.attributes, row.values, strict=True))
            for text, names in _lines(family, field, row.values)[:1]:
                found.append((text, {name: said[name] for name in sorted(names)}))
    return found
