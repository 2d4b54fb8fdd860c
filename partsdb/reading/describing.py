"""What a list says of a part in words: the kind its description names, and what number and description tell."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache, lru_cache

from partsdb.family import Family, families
from partsdb.model import Identification, Spec, Value
from partsdb.reading.account import odd_words
from partsdb.reading.agreed import agreed
from partsdb.reading.decode import identify
from partsdb.reading.fragments import read
from partsdb.records import BREAK, Described
from partsdb.source import Source
from partsdb.tables import load

# A text speaks for the part where nearly all its readings agree and it makes sense at all. Judgement.
SURE = 0.9
SENSE = 0.2

# What was read is remembered, because price lists say the same thing of many packs.


@lru_cache(maxsize=4096)
def kind_named(description: str) -> Family | None:
    """The kind of part a description names ("Oil seal 30x52x7"); None when it names none, or several of which the
    rest doesn't tell the one that is meant.

    >>> kind_named("Motor run capacitor 20 uF 450 VAC").name
    'ac_capacitor'
    """
    head = _head(description)
    named = {name: family for name, family in families().items() if head and _names(family, head)}
    if len(named) > 1 and (found := _read(description, tuple(named))) is not None:
        shares = {n: sum(h.probability for h in found.hypotheses if h.spec.family == n) for n in named}
        named = {name: family for name, family in named.items() if shares[name] >= SURE}
    return next(iter(named.values())) if len(named) == 1 else None


def _head(description: str) -> str:
    """What a description names before it says what that is for or comes with; "" when that is something which goes
    with a part, or a piece of one ("bearing puller for 6205")."""
    own = _one_of("goes with").split(_own(description), maxsplit=1)[0]
    return "" if _accessories().search(own) else own


def _own(description: str) -> str:
    """The description up to what it is for."""
    return _one_of("is for").split(description, maxsplit=1)[0]


@cache
def _one_of(role: str) -> re.Pattern[str]:
    """Any word that has that role in descriptions (table description_words)."""
    words = [row["word"] for row in load("description_words").rows if row["role"] == role]
    alone = "|".join(re.escape(word.rstrip("*")) + ("" if word.endswith("*") else r"\b") for word in words)
    return re.compile(rf"\b(?:{alone})", re.IGNORECASE)


@cache
def _figures() -> tuple[tuple[re.Pattern[str], str], ...]:
    """(pattern, replacement) by which each number in words before a counted word becomes a figure."""
    rows = load("description_words").rows
    counted = "|".join(re.escape(row["word"]) for row in rows if row["role"] == "counted")
    return tuple(
        (re.compile(rf"\b{re.escape(row['word'])}[ -]?({counted})s?\b", re.IGNORECASE), rf"{row['means']} \1")
        for row in rows
        if row["role"] == "figure"
    )


@cache
def _accessories() -> re.Pattern[str]:
    words = sorted((row["word"] for row in load("accessory_words").rows), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, words))})(?:e?s)?(?![\w-])", re.IGNORECASE)


def _names(family: Family, text: str) -> bool:
    return any(
        re.search(rf"(?<![\w-]){re.escape(word)}(e?s)?(?![\w-])", text, re.IGNORECASE)
        for word in (family.title, *family.words)
    )


def described(family: Family, designation: str, description: str = "") -> Described:
    """What a designation ("6206-2RS") and a description say of the part: the values of the likeliest reading that
    hold in nearly all readings. Nothing of a text that is more likely something else altogether, and nothing of
    that in which the two contradict each other; nothing at all of what only goes with a part."""
    head = _head(description)
    if (description and not head) or (_names(family, description) and not _names(family, head)):
        return Described(Spec(family.name))
    first = _told(family.name, designation, "designation")
    second = _told(family.name, _own(description), "description")
    others = {_of(value): value.key for value in second.spec.values}
    kept = [value for value in first.spec.values if others.get(_of(value), value.key) == value.key]
    said = {_of(value) for value in first.spec.values}
    new = (value for value in second.spec.values if _of(value) not in said)
    unread = BREAK.join(dict.fromkeys(text for text in (first.unread, second.unread) if text))
    return Described(Spec(family.name, (*kept, *new)), unread or None)


def odd(family: Family, *texts: str) -> str | None:
    """The words of a row's texts that change a part of this kind or tell of damage, where its values stand in columns
    of their own and the texts aren't read for more; None when there are none."""
    return BREAK.join(one.text for one in odd_words(texts, family)) or None


def _of(value: Value) -> tuple[str, str, int]:
    return value.attribute, value.qualifier, value.variant


@lru_cache(maxsize=4096)
def _told(kind: str, text: str, what: str) -> Described:
    found = _read(text, (kind,))
    if found is None or found.best is None or found.leftover > 1 - SENSE:
        return Described(Spec(kind))
    # a list's text is complete: a suffix that isn't there says "the usual one" as plainly as one that is
    stated = Source(f"{what} {text}", "stated")
    best = agreed(found.hypotheses, SURE)
    sure = best.spec.values
    odd_ones = dict.fromkeys(one.text for one in best.account if one.ask)
    return Described(Spec(kind, tuple(replace(v, source=stated) for v in sure)), BREAK.join(odd_ones) or None)


def _read(text: str, kinds: tuple[str, ...]) -> Identification | None:
    """A list's text as a plate on which everything is legible; None when nothing is written there."""
    plain = re.sub(r"[?\[\]]|\.{2,}|…", " ", text).strip()
    for in_words, in_figures in _figures():
        plain = in_words.sub(in_figures, plain)
    return identify(read([plain]), {kind: families()[kind] for kind in kinds}) if plain else None
