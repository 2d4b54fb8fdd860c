"""A family out of its folder: family.toml (what is enumerated), words.toml (what is told), its functions."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Mapping
from importlib.resources import files
from typing import Any

from partsdb import duty
from partsdb.family import Consistency, Family, Field, Rule, no_changes, no_figures
from partsdb.kit import data, prose
from partsdb.kit.checking import checked
from partsdb.kit.prose import Figures, Vocabulary
from partsdb.model import Spec, Value
from partsdb.place import Place
from partsdb.tables import Table, load

Told = Mapping[str, list[Mapping[str, Any]]]


def family(
    package: str,
    *,
    require: Callable[[Place], Iterable[Rule | None]],
    title_of: Callable[[Spec], str],
    figures: Callable[[Place], Figures] = no_figures,
    cures: prose.Cures = no_changes,
    fields: Iterable[Field] = (),
    rows: data.Computed = data.NOTHING,
    consistency: Iterable[Consistency] = (),
    **functions: Any,
) -> Family:
    """The family of a package (`__name__` of its folder), from the files beside it and its functions.

    figures: numbers and words that its texts name, worked out for a part and its duty. cures: those that depend on
    more than the attribute. fields, consistency: those that no file can list; rows: those of a
    field whose file says "computed". functions: derive, qualifies, life, combinations, pieces, as in `Family`.
    Raises FaultyFamily, which names every fault that can be seen without trying the rules; ValueError, TypeError or
    KeyError when a file is not of the form that `data` and `prose` describe.
    """

    def table(name: str) -> Table:
        return load(name, package) if files(package).joinpath(f"{name}.csv").is_file() else load(name)

    said, told = _toml(package, "family.toml"), _toml(package, "words.toml")
    attributes, terms = data.attributes(said, table), data.terms(said)
    known = Vocabulary({a.name: a for a in attributes}, {t.name: t for t in (*duty.TERMS, *terms)}, figures)
    texts = {name: a["cure"]["text"] for name, a in said.get("attribute", {}).items() if "cure" in a}
    made = Family(
        name=package.rpartition(".")[2],
        title=said["title"],
        attributes=attributes,
        fields=(*data.fields(said, attributes, table, rows), *fields),
        measurements=prose.measurements(told.get("measurement", ()), known),
        hazards=prose.hazards(told.get("hazard", ()), known),
        require=require,
        title_of=_named(title_of, said, functions.get("derive")),
        words=tuple(said.get("words", ())),
        main=tuple(said.get("main", ())),
        main_called=said.get("main_called", "size"),
        prior=said.get("prior", 1.0),
        ask=tuple(said.get("ask", ())),
        answers=frozenset((*said.get("answers", ()), *said.get("ask", ()), *(t.name for t in terms))),
        needs=data.needs(said),
        hurt_by=data.hurt_by(said),
        terms=terms,
        cures=prose.cures(texts, known, cures),
        consistency=(*data.agreements(said), *data.seldom(said, attributes), *consistency),
        symptoms=prose.symptoms(told.get("symptom", ())),
        suspects=prose.suspects(told.get("suspect", ()), known),
        goes_with=prose.lines(told.get("goes_with", ()), known),
        after_fitting=prose.lines(told.get("after_fitting", ()), known),
        shelf_test=prose.lines(told.get("shelf_test", ()), known),
        install_hours=said.get("install_hours", 1.0),
        figures=figures,
        told=told,
        **functions,
    )
    return checked(made, rules=False)


def _named(
    title_of: Callable[[Spec], str], said: Mapping[str, Any], derive: Callable[[Spec], Iterable[Value]] | None
) -> Callable[[Spec], str]:
    """The family's trade names; of a specification that says nothing of what names the part, only that."""
    main = frozenset(said.get("main", ()))
    unnamed = f"{said['title']}, {said.get('main_called', 'size')} not read"

    def title(spec: Spec) -> str:
        follows = derive(spec) if derive else ()
        known = any(v.attribute in main for v in (*spec.values, *follows))
        return title_of(spec) if known or not main else unnamed

    return title


def _toml(package: str, name: str) -> dict[str, Any]:
    found = files(package).joinpath(name)
    return tomllib.loads(found.read_text(encoding="utf-8")) if found.is_file() else {}
