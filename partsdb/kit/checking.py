"""Every fault of a family at once: names nobody has, words no table knows, silence not declared.

What can be seen without a place is looked at first, then the rules are tried on an empty place and on the family's own
first rows, because a wrong name in a rule shows only when the rule is made.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, get_args

from partsdb.attributes import Attribute
from partsdb.duty import Duty
from partsdb.errors import PartsError
from partsdb.family import Family, Field, Relation, Row, vocabulary
from partsdb.kit.coverage import requirement
from partsdb.model import Limit, Question, Spec, Value, Weight
from partsdb.tables import load

LONGEST_SHORT = 56  # characters: a caution's short text stands on one line of a narrow screen
_NAME = re.compile(r"\{(\w+)\}")
_IN_TEMPLATE = re.compile(r"\{([^{}:]+)(?::([^{}]+))?\}")
_TEXTS = ("text", "otherwise", "why")


class FaultyFamily(PartsError):
    """A family that contradicts itself; the faults are named one a line."""


def checked(family: Family, *, rules: bool = True) -> Family:
    """The same family. Raises FaultyFamily naming every fault; rules: they are tried as well, which takes a while."""
    found = faults(family, rules=rules)
    if found:
        raise FaultyFamily(f"the family {family.name} has {len(found)} faults:\n  " + "\n  ".join(found))
    return family


def faults(family: Family, *, rules: bool = True) -> tuple[str, ...]:
    """Every fault, each with the file it stands in and the name at fault; the rules are tried when nothing else is."""
    found = (*_attributes(family), *_fields(family), *_words(family), *_duty(family))
    return found if found or not rules else tuple(dict.fromkeys(_rules(family)))


def _known(family: Family) -> Mapping[str, Attribute]:
    return {a.name: a for a in family.attributes}


def _twice(names: Iterable[str], what: str) -> Iterator[str]:
    for name, count in Counter(names).items():
        if count > 1:
            yield f"{what}: {name!r} stands there {count} times"


def _attributes(family: Family) -> Iterator[str]:
    yield from _twice((a.name for a in family.attributes), "family.toml, attribute")
    for a in family.attributes:
        where, silence = f"family.toml, attribute {a.name}", a.silence
        if silence is None:
            yield f"{where}: its silence isn't declared (asked, taken or no_matter)"
        elif isinstance(silence.value, str) and silence.value not in a.codes:
            yield f"{where}: taken as {silence.value!r}, which is none of its codes"
        elif silence.settled_by and silence.settled_by not in family.answers:
            yield f"{where}: {silence.settled_by!r} settles it, and the family doesn't answer that term"
        elif bool(silence.settled_by) != bool(silence.about):
            yield f"{where}: `settled_by` and `about` go together"
        yield from (f"{where}: {c!r} of its ladder is no code" for c in a.ladder if c not in a.codes)
        yield from (
            f"{where}: a spelling of {c!r}, which is no code"
            for c in a.spellings
            if a.codes and c not in a.codes
        )


def _fields(family: Family) -> Iterator[str]:
    yield from _twice((f.name for f in family.fields), "family.toml, field")
    for field in family.fields:
        yield from (f"family.toml, field {field.name}: {fault}" for fault in _field(family, field))


def _field(family: Family, field: Field) -> Iterator[str]:
    known = _known(family)
    bare = [_bare(name) for name in field.attributes]
    unknown = [name for name in bare if name not in known]
    if unknown:
        yield f"no attribute is called {', '.join(unknown)}"
        return
    for row in field.rows:
        yield from _row(row, [known[name] for name in bare])
    for writing in field.writings:
        for name, symbol in _IN_TEMPLATE.findall(writing.template):
            if _bare(name) not in bare:
                yield f"the writing {writing.template!r} names {name!r}, which the field doesn't read"
            elif bool(symbol) and known[_bare(name)].unit is None:
                yield f"the writing {writing.template!r} gives a unit to the code word {name!r}"


def _bare(name: str) -> str:
    return name.split("#")[0].split("@")[0]


def _row(row: Row, attributes: list[Attribute]) -> Iterator[str]:
    if len(row.values) != len(attributes):
        yield f"a row of {len(row.values)} values for {len(attributes)} attributes"
        return
    for value, attribute in zip(row.values, attributes, strict=True):
        if isinstance(value, str) != (attribute.unit is None) and value is not None:
            yield f"{value!r} is not what {attribute.name} takes"
        elif isinstance(value, str) and attribute.codes and value not in attribute.codes:
            yield f"{value!r} is no code of {attribute.name}"


def _words(family: Family) -> Iterator[str]:
    screen = {row["word"] for row in load("symptoms").rows}
    yield from _twice((h.id for h in family.hazards), "words.toml, hazard")
    for hazard in family.hazards:
        if not 0 < len(hazard.short) <= LONGEST_SHORT:
            yield f"words.toml, hazard {hazard.id}: a short text of 1 to {LONGEST_SHORT} characters is wanted"
    for symptom in family.symptoms:
        if symptom.word not in screen:
            yield f"words.toml, symptom {symptom.word!r}: no screen sends it; there are {', '.join(sorted(screen))}"
    measured = {m.attribute for m in family.measurements}
    for name in sorted(measured - _known(family).keys() - vocabulary((family,)).keys()):
        yield f"words.toml, measurement {name!r}: neither an attribute nor a duty term"
    figures = _figures(family)
    for kind, rows in family.told.items():
        for row in rows:
            where = f"words.toml, {kind} {row.get('id', row.get('text', ''))[:40]!r}"
            yield from (f"{where}: {fault}" for fault in _told(family, row, figures))


def _figures(family: Family) -> frozenset[str]:
    return frozenset(family.figures(family.place(Spec(family.name), {})))


def _told(family: Family, row: Mapping[str, Any], figures: frozenset[str]) -> Iterator[str]:
    known, terms = _known(family), vocabulary((family,))
    texts = [row.get(key, "") for key in _TEXTS] + [text for _, text in row.get("figures", ())]
    for name in (name for text in texts for name in _NAME.findall(text)):
        if name not in known and name not in terms and name not in figures:
            yield f"the figure {name!r} is nothing the family knows"
    conditions = [*row.get("when", ()), *(c for s in row.get("strengths", ()) for c in s.get("when", ()))]
    for name, relation, value in conditions:
        if relation not in get_args(Relation):
            yield f"no condition is called {relation!r}"
        if name not in known and name not in terms and name not in figures:
            yield f"the condition on {name!r}: nothing the family knows is called so"
            continue
        codes = known[name].codes if name in known else terms[name].codes if name in terms else ()
        if isinstance(value, str) and codes and value not in codes and not _NAME.fullmatch(value):
            yield f"the condition on {name}: {value!r} is none of its words"


def _duty(family: Family) -> Iterator[str]:
    terms = vocabulary((family,))
    for what, names in (
        ("ask", family.ask),
        ("answers", family.answers),
        ("needs", [n.term for n in family.needs]),
    ):
        yield from (
            f"family.toml, {what}: no duty term is called {name!r}" for name in names if name not in terms
        )
    for need in family.needs:
        if need.term not in family.answers:
            yield f"family.toml, needs {need.term}: the family needs it and doesn't say that it answers it"
        if need.weight not in get_args(Weight):
            yield f"family.toml, needs {need.term}: no weight is called {need.weight!r}"
    for hurt in family.hurt_by:
        where = f"family.toml, hurt_by {hurt.term}"
        if hurt.term not in terms:
            yield f"{where}: no duty term is called so"
        elif hurt.term in family.answers:
            yield f"{where}: the family says that it answers it"
        elif hurt.word and hurt.word not in terms[hurt.term].codes:
            yield f"{where}: {hurt.word!r} is none of its words"
        if hurt.weight not in get_args(Weight):
            yield f"{where}: no weight is called {hurt.weight!r}"
    for consistency in family.consistency:
        for name in consistency.attributes:
            if _bare(name) not in _known(family):
                yield f"consistency: no attribute is called {name!r}"


def _rules(family: Family) -> Iterator[str]:
    """The rules on an empty place, on each field's first row alone, and on all of them."""
    firsts = [tuple(_values(field)) for field in family.fields if field.rows]
    samples = [(), *firsts, tuple(value for values in firsts for value in values)]
    words: list[Duty] = [
        {},
        *({t.name: c} for t in vocabulary((family,)).values() if t.name in family.answers for c in t.codes),
    ]
    for values in samples:
        for duty in words:
            made = requirement(family, Spec(family.name, values), duty)
            asked: tuple[Limit | Question, ...] = (*made.limits, *made.questions)
            for rule in asked:
                yield from (f"limits: {fault}" for fault in _rule(family, rule))


def _values(field: Field) -> Iterator[Value]:
    for name, x in zip(field.attributes, field.rows[0].values, strict=True):
        if x is not None:
            qualifier = name.partition("@")[2]
            if isinstance(x, str):
                yield Value(_bare(name), code=x, qualifier=qualifier)
            else:
                low, high = x if isinstance(x, tuple) else (x, x)
                yield Value(_bare(name), low, high, qualifier=qualifier)


def _rule(family: Family, rule: Limit | Question) -> Iterator[str]:
    known, terms = _known(family), vocabulary((family,))
    if rule.weight not in get_args(Weight):
        yield f"no weight is called {rule.weight!r}"
    if isinstance(rule, Limit) and rule.attribute not in known:
        yield f"{rule.attribute!r} is no attribute"
    for name in rule.covers if isinstance(rule, Limit) else (rule.settled_by, *rule.covers):
        if name and name not in known and name not in terms:
            yield f"{name!r} is no attribute and no duty term"
    if isinstance(rule, Limit) and isinstance(rule.accept, tuple) and rule.attribute in known:
        reach = rule.reach if isinstance(rule.reach, tuple) else ()
        codes = known[rule.attribute].codes
        yield from (
            f"{c!r} is no code of {rule.attribute}"
            for c in (*rule.accept, *reach)
            if codes and c not in codes
        )
