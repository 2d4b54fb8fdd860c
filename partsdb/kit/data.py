"""A family's attributes, fields and duty terms from its family.toml.

[attribute.size]     title, unit (none = code words), identity, tolerance, header, codes, spellings, ladder, silence
  codes              ["a", "b"], {code = "title"}, or {table = "words"}: the rows of that table whose column
                     `attribute` is this one, with columns code (or `column`), title, spellings (a|b)
  ladder             true: the order of the codes, worst first
  silence            {asked = "safety", why = "...", ask = "...", about = "its load", settled_by = "load_current"}:
                     the last two where a term of the duty answers as well
                     {taken = 3, source = "...", weight = "safety", why = "..."}
                     {no_matter = "why nothing hangs on it"}
  cure               {text = "...", hours = 0.5, source = "...", otherwise = "..."}: what is done about a value within
                     reach; the text names figures of the offered part, `otherwise` is for where they aren't known;
                     always = false: not about every value, so that silence stays a question
[field.size]         attributes (default: the field's name), rows, writings, absent, off_grid, default, each
  rows               [[3, 8], [2, 1.5]]: values in the attributes' units, "380-415" for a range, "" for nothing,
                     and behind them the weight; or
                     {table = "values", where = {what = "poles"}, columns = ["value"], weight = "weight",
                     unit = "hp", years = ["first", "last"]}, or a list of such; rows of weight 0 are left out; unit:
                     one for all, or the table's column that names it; or
                     "computed": those that the family gives in Python under the field's name
  writings           templates, or [template, log prior]
  each               [{volts = 230}, {volts = 400}]: the field once for each, `<volts>` put in everywhere
[[agreement]]        of = {power = 1, current = -1}: two to four numbers of one plate, each to a power, whose product
                     [SI] lies about `about`, its logarithm within `within` (one standard deviation), never costing more
                     than `worst` [nat]; free: how many standard deviations cost nothing; source; each
[[seldom]]           of = {type = ["thrust ball"], closure = ["Z", "2Z"]}: code words that seldom stand on one plate
                     (true: any number of an attribute that has numbers);
                     penalty [nat, below 0] where each attribute has one of its words; source
[needs.load_current] weight, why: a duty term whose absence is a question
[hurt_by.ambient]    weight, why, ask; word or above: a duty term without a rule whose presence is a question
[term.wet]           title, unit, codes, least, most, whole, question: a duty term of the family's own
label                words that name the kind on its plate and say nothing more; label_absent
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import numpy as np

from partsdb.attributes import LOOK, Attribute, Silence, asked, no_matter, taken
from partsdb.duty import TERMS, Term
from partsdb.family import OFF_GRID, Consistency, Field, Hurt, Needed, Row, Writing, label
from partsdb.kit.prose import source_of
from partsdb.model import Change
from partsdb.quantities import to_si
from partsdb.tables import Table

Data = Mapping[str, Any]
Tables = Callable[[str], Table]  # a table by its name: the family's own, else one that all share
Computed = Mapping[str, Sequence[Row]]  # the rows of fields that no table lists, by the field's name
NOTHING: Computed = MappingProxyType({})
Cell = float | str | tuple[float, float] | None


# --------------------------------------------------------------------------- attributes


def attributes(data: Data, tables: Tables) -> tuple[Attribute, ...]:
    """The attributes in the file's order."""
    return tuple(_attribute(name, said, tables) for name, said in data.get("attribute", {}).items())


def _attribute(name: str, said: Data, tables: Tables) -> Attribute:
    codes, spellings = _codes(name, said, tables)
    ladder = said.get("ladder", ())
    unit = said.get("unit")
    return Attribute(
        name,
        said["title"],
        unit,
        said.get("identity", False),
        said.get("tolerance", 1e-6),
        codes,
        spellings,
        tuple(codes) if ladder is True else tuple(ladder or ()),
        tuple(said.get("header", ())),
        silence=_silence(said["silence"], unit or "") if "silence" in said else None,
        cure=_cure(name, said["cure"]) if "cure" in said else None,
        always_curable=said.get("cure", {}).get("always", True),
    )


def _cure(name: str, said: Data) -> Change:
    """The cure where its figures aren't known; with them `prose.cures` writes it."""
    return Change(name, said.get("otherwise", said["text"]), float(said["hours"]), source_of(said))


def _codes(name: str, said: Data, tables: Tables) -> tuple[dict[str, str], dict[str, tuple[str, ...]]]:
    codes = said.get("codes", {})
    spellings = {code: tuple(words) for code, words in said.get("spellings", {}).items()}
    if isinstance(codes, list):
        return {code: code for code in codes}, spellings
    if "table" not in codes:
        return dict(codes), spellings
    rows = [r for r in tables(codes["table"]).rows if r.get("attribute", name) == name]
    listed = {r["code"]: tuple(r["spellings"].split("|")) for r in rows if r.get("spellings")}
    column = codes.get("column", "code")
    return {r[column]: r.get("title") or r[column] for r in rows}, {**listed, **spellings}


def _silence(said: Data, unit: str) -> Silence:
    if "no_matter" in said:
        return no_matter(said["no_matter"])
    if "taken" in said:
        value = said["taken"]
        known = value if isinstance(value, str) else to_si(float(value), unit)
        return taken(known, source_of(said), said["weight"], said["why"])
    about, settled_by = said.get("about", ""), said.get("settled_by", "")
    return asked(said["asked"], said["why"], said.get("ask", LOOK), about, settled_by)


# --------------------------------------------------------------------------- fields


def fields(
    data: Data, known: Sequence[Attribute], tables: Tables, computed: Computed = NOTHING
) -> tuple[Field, ...]:
    """The fields in the file's order; a field with `each` stands there once for each."""
    units = {a.name: a.unit for a in known}
    found = [_field(name, said, units, tables, computed) for name, said in _each(data.get("field", {}))]
    if "label" in data:
        found.append(label(*data["label"], p_absent=data.get("label_absent", 0.6)))
    return tuple(found)


def _each(said: Mapping[str, Data]) -> Iterator[tuple[str, Data]]:
    for name, field in said.items():
        for one in field.get("each", [{}]):
            yield _put(name, one), _put({k: v for k, v in field.items() if k != "each"}, one)


def _put(said: Any, values: Data) -> Any:
    """The same with `<name>` replaced by its value, everywhere; a text that is nothing else becomes the value."""
    if isinstance(said, str):
        for name, value in values.items():
            if said == f"<{name}>":
                return value
            said = said.replace(f"<{name}>", value if isinstance(value, str) else f"{value:g}")
        return said
    if isinstance(said, list):
        return [_put(one, values) for one in said]
    return {_put(k, values): _put(v, values) for k, v in said.items()} if isinstance(said, dict) else said


def _field(
    name: str, said: Data, units: Mapping[str, str | None], tables: Tables, computed: Computed
) -> Field:
    names = tuple(said.get("attributes", (name,)))
    own = [units.get(n.split("#")[0].split("@")[0]) for n in names]
    rows = said["rows"] if isinstance(said["rows"], list) else [said["rows"]]
    read = (
        computed[name]
        if rows == ["computed"]
        else [
            row
            for one in rows
            for row in (_tabled(one, own, tables) if isinstance(one, dict) else [_listed(one, own)])
        ]
    )
    writings = tuple(
        Writing(w) if isinstance(w, str) else Writing(w[0], float(w[1])) for w in said["writings"]
    )
    default = (
        tuple(_cell(str(x), u) for x, u in zip(said["default"], own, strict=True))
        if "default" in said
        else None
    )
    off_grid = float(said.get("off_grid", OFF_GRID))
    return Field(name, names, tuple(read), writings, said.get("absent", 0.2), off_grid, default)  # type: ignore[arg-type]  # no range is a default


def _listed(row: Any, units: Sequence[str | None]) -> Row:
    cells = row if isinstance(row, list) else [row]
    weight = float(cells[len(units)]) if len(cells) > len(units) else 1.0
    return Row(tuple(_cell(str(x), u) for x, u in zip(cells[: len(units)], units, strict=True)), weight)


def _tabled(rows: Data, units: Sequence[str | None], tables: Tables) -> Iterator[Row]:
    weight, unit, years = rows.get("weight", 1.0), rows.get("unit"), rows.get("years")
    for row in tables(rows["table"]).rows:
        if any(row[column] != value for column, value in rows.get("where", {}).items()):
            continue
        heavy = float(row[weight] or 1) if isinstance(weight, str) else float(weight)
        if heavy > 0:
            own = [u if u is None or unit is None else row.get(unit, unit) for u in units]
            made = (int(row[years[0]]), int(row[years[1]])) if years else None
            yield Row(tuple(_cell(row[c], u) for c, u in zip(rows["columns"], own, strict=True)), heavy, made)


def _cell(text: str, unit: str | None) -> Cell:
    """A value as it stands in a file: a code word where the unit is None, else a number or a range in that unit."""
    text = text.strip()
    if not text or unit is None:
        return text or None
    low, dash, high = text.partition("-")
    return (to_si(float(low), unit), to_si(float(high), unit)) if dash and low else to_si(float(text), unit)


# --------------------------------------------------------------------------- agreement


def agreements(data: Data) -> tuple[Consistency, ...]:
    """How well the numbers of one plate agree."""
    return tuple(
        _agreement(_put(said, one)) for said in data.get("agreement", ()) for one in said.get("each", [{}])
    )


def _agreement(said: Data) -> Consistency:
    powers = tuple(float(power) for power in said["of"].values())

    def log_factor(*numbers: Any) -> Any:
        logs = sum(p * np.log(np.asarray(x, dtype=float)) for p, x in zip(powers, numbers, strict=True))
        off = (logs - math.log(said["about"])) / said["within"]
        pull = np.minimum(0.5 * (said.get("free", 0.0) ** 2 - off**2), 0.0)
        return np.where(np.isnan(pull), 0.0, np.maximum(pull, said.get("worst", -6.0)))

    return Consistency(tuple(said["of"]), log_factor, source_of(said))


def seldom(data: Data, known: Sequence[Attribute]) -> tuple[Consistency, ...]:
    """What seldom stands on one plate. Raises ValueError for a word that its attribute hasn't."""
    codes = {a.name: a.codes for a in known}
    found = data.get("seldom", ())
    for said in found:
        for name, words in said["of"].items():
            listed = () if words is True else words
            if unknown := [word for word in listed if word not in codes.get(name, ())]:
                raise ValueError(f"family.toml, seldom: {name} has no word {', '.join(unknown)}")
    return tuple(_seldom(said) for said in found)


def _seldom(said: Data) -> Consistency:
    def log_factor(*words: Any) -> Any:
        there = [_stands(word, listed) for word, listed in zip(words, said["of"].values(), strict=True)]
        return np.where(np.all(np.broadcast_arrays(*there), axis=0), float(said["penalty"]), 0.0)

    return Consistency(tuple(said["of"]), log_factor, source_of(said))


def _stands(word: Any, listed: Any) -> Any:
    if listed is True:
        return ~np.isnan(np.asarray(word, dtype=float))
    return np.any([np.asarray(word == one, dtype=bool) for one in listed], axis=0)


# --------------------------------------------------------------------------- duty


def needs(data: Data) -> tuple[Needed, ...]:
    """The duty terms the family can't do without."""
    return tuple(Needed(term, said["weight"], said["why"]) for term, said in data.get("needs", {}).items())


def hurt_by(data: Data) -> tuple[Hurt, ...]:
    """The duty terms that can hurt and that no rule looks at."""
    units = {term.name: term.unit for term in (*TERMS, *terms(data))}
    return tuple(
        Hurt(
            term,
            said["weight"],
            said["why"],
            said["ask"],
            said.get("word", ""),
            to_si(float(said["above"]), units.get(term, "")) if "above" in said else None,
        )
        for term, said in data.get("hurt_by", {}).items()
    )


def terms(data: Data) -> tuple[Term, ...]:
    """The duty terms of the family's own."""
    return tuple(
        Term(
            name,
            said["title"],
            said.get("unit", ""),
            tuple(said.get("codes", ())),
            said.get("least", None if "codes" in said else 0.0),
            said.get("most"),
            said.get("whole", False),
            said.get("question", ""),
        )
        for name, said in data.get("term", {}).items()
    )
