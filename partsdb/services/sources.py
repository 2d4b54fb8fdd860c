"""What several sources say of one part, and what numbers it went by: shown, settled, and used in look-ups."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from uuid import NAMESPACE_OID, uuid5

from partsdb.disagreement import RULES, Claim, Disagreement, believed, disagreements
from partsdb.errors import BadInput, NotFound
from partsdb.family import families
from partsdb.lineage import plain
from partsdb.records import Part, Settlement, Succession
from partsdb.results import Found
from partsdb.source import Provenance
from partsdb.spoken import value_text
from partsdb.store import Store, ValueKey
from partsdb.succession import NumberHistory, number_history, renumbered, step_text


def usable_parts(store: Store) -> tuple[Part, ...]:
    """The parts on record as look-ups may use them: disputed values as settled, and under all their numbers."""
    return renumbered(
        believed(store.all(Part), store.all(Settlement)),
        store.all(Succession),
    )


# --------------------------------------------------------------------------- numbers


def numbers(store: Store, number: str, maker: str = "") -> NumberHistory:
    """The history of a number a person names. Raises NotFound when no list and no part says anything of it."""
    found = number_history(store.all(Part), store.all(Succession), number, maker)
    if not found.parts and not found.others:
        raise NotFound(
            f"nothing on record says anything of the number {number!r}",
            "Lists of how numbers succeed one another come in by `partsdb import successions`",
        )
    origins = store.provenance_of_values(found.parts)
    told = tuple(
        Claim(part.id, v, origins.get((part.id, v.attribute, v.qualifier, v.variant)))
        for part in found.parts
        for v in part.spec.values
    )
    return replace(found, told=told)


def with_notes(found: Found, store: Store) -> Found:
    """What was found, with the notes it should be read with."""
    verdicts = (*found.shelf, *found.combinations, *(o.verdict for o in found.offers))
    shown = {id for verdict in verdicts for id in verdict.parts}
    return replace(found, truths=(*found.truths, *notes(store, found.inquiry.fragments, shown)))


def notes(store: Store, fragments: Sequence[str], shown: Collection[str]) -> tuple[str, ...]:
    """What a look-up should be read with: numbers that others succeed, and open disputes about the parts shown.

    fragments: as typed; shown: ids of the parts that were judged.
    """
    told = [
        f"{one.number}: {step_text(other.reached.steps[-1])}. {_whether(other.parts)}"
        for one in _histories(store, fragments)
        for other in one.others
    ]
    for dispute in disputes(store):
        if dispute.settled is None and any(claim.part_id in shown for claim in dispute.claims):
            what = f"{dispute.maker} {dispute.designation}: sources disagree about its {_title(dispute)}"
            told.append(f"{what.strip()}, so it counts as unknown. See `partsdb disputes`.")
    return tuple(told)


def _whether(parts: Sequence[Part]) -> str:
    titles = ", ".join(sorted({part.title or part.designation for part in parts}))
    return f"On record: {titles}." if titles else "Not on record."


def _histories(store: Store, fragments: Sequence[str]) -> tuple[NumberHistory, ...]:
    """The histories of those of the fragments that are numbers which others succeed or precede."""
    known = store.all(Succession)
    if not known:
        return ()
    parts = store.all(Part)
    found = (number_history(parts, known, text) for text in fragments if plain(text))
    return tuple(one for one in found if one.others)


def succeeding(store: Store, number: str) -> Part | None:
    """The one part on record, on the shelf before others, that goes by another name of that number, or superseded
    it; None when none does.

    Raises BadInput when several do.
    """
    others = number_history(store.all(Part), store.all(Succession), number).others
    for relations in (("same",), ("newer",)):
        there = {p.id: p for one in others if one.reached.relation in relations for p in one.parts}
        found = [p for p in there.values() if p.quantity > 0] or list(there.values())
        if len(found) > 1:
            names = ", ".join(sorted({p.designation for p in found}))
            raise BadInput(f"{number!r} became several: {names}", "Write the one you mean")
        if found:
            return found[0]
    return None


# --------------------------------------------------------------------------- disputes


def disputes(store: Store, number: str = "") -> tuple[Disagreement, ...]:
    """What sources disagree about, the open ones first; only of one number where it is named."""
    parts = store.all(Part)
    found = disagreements(parts, store.all(Settlement))
    wanted = [one for one in found if not number or plain(one.designation) == plain(number)]
    disputed = {claim.part_id for one in wanted for claim in one.claims}
    origins = store.provenance_of_values(part for part in parts if part.id in disputed)
    wanted = [_with_origins(one, origins) for one in wanted]
    return tuple(sorted(wanted, key=lambda d: (d.settled is not None, d.maker, d.designation, d.attribute)))


def _with_origins(found: Disagreement, origins: Mapping[ValueKey, Provenance]) -> Disagreement:
    def known(claim: Claim) -> Claim:
        return replace(claim, origin=origins.get((claim.part_id, *found.key)))

    claims = tuple(known(claim) for claim in found.claims)
    settled = next((new for new, old in zip(claims, found.claims, strict=True) if old is found.settled), None)
    return replace(found, claims=claims, settled=settled)


def settle(
    store: Store, number: str, attribute: str, source: str, by: str, why: str, now: datetime
) -> Settlement:
    """A person's word on which source is right. source: the beginning of what `disputes` calls it, or of its value.

    Raises NotFound when nothing is disputed there, BadInput when no source, or more than one, is meant.
    """
    open_ones = disputes(store, number)
    found = [d for d in open_ones if attribute.casefold() in _names(d)]
    if not found:
        told = "; ".join(sorted({f"{d.designation}: {d.attribute}" for d in open_ones})) or "nothing"
        raise NotFound(f"nobody disputes {attribute!r} of {number!r}", f"Disputed there: {told}")
    meant = [(d, c) for d in found for c in d.claims if _means(source, d, c)]
    cited = {c.value.source.citation for _, c in meant}
    if (len(meant) != 1 and len(cited) != 1) or len({d.key for d, _ in meant}) > 1:
        told = "; ".join(f"{_said(d, c)} ({c.value.source.citation})" for d in found for c in d.claims)
        raise BadInput(f"{source!r} is not one of the sources", f"They are: {told}")
    dispute, claim = meant[0]
    made = _settlement(dispute, claim, by, why, now)
    store.put(made)
    return made


def settle_by_rule(store: Store, rule: str, number: str, now: datetime) -> tuple[Settlement, ...]:
    """Settles every open dispute that the rule can decide. Raises BadInput for a rule there isn't."""
    if rule not in RULES:
        raise BadInput(f"there is no rule {rule!r}", f"The rules: {rules_told()}")
    text, choose = RULES[rule]
    made = [
        _settlement(one, claim, f"rule {rule}", text, now)
        for one in disputes(store, number)
        if one.settled is None and (claim := choose(one.claims)) is not None
    ]
    store.put(*made)
    return tuple(made)


def rules_told() -> str:
    """The rules and what each says."""
    return "; ".join(f"{name} = {text}" for name, (text, _) in RULES.items())


def _names(one: Disagreement) -> set[str]:
    """What a person may call the attribute: its name, its title, with its qualifier."""
    title = _title(one)
    names = {one.attribute, one.attribute.replace("_", " "), title}
    return {name.casefold() for base in names for name in (base, f"{base} {one.qualifier}".strip())}


def _title(one: Disagreement) -> str:
    for family in families().values():
        for attribute in family.attributes if family.name == one.family else ():
            if attribute.name == one.attribute:
                return attribute.title
    return one.attribute


def _said(one: Disagreement, claim: Claim) -> str:
    family = families().get(one.family)
    return value_text(family, claim.value) if family else claim.value.as_written


def _means(text: str, one: Disagreement, claim: Claim) -> bool:
    wanted = text.strip().casefold()
    told = (claim.value.source.citation, _said(one, claim))
    return bool(wanted) and any(name.casefold().startswith(wanted) for name in told)


def _settlement(one: Disagreement, claim: Claim, by: str, why: str, now: datetime) -> Settlement:
    key = "/".join((plain(one.maker), plain(one.designation), one.attribute, one.qualifier, str(one.variant)))
    return Settlement(
        str(uuid5(NAMESPACE_OID, f"partsdb settlement {key}")),
        one.maker,
        one.designation,
        one.attribute,
        one.qualifier,
        one.variant,
        _kept_source(one, claim),
        by,
        why,
        now,
    )


def _kept_source(one: Disagreement, claim: Claim) -> str:
    """The list without its row where that is enough: rows move from one edition of a list to the next."""
    said = claim.value.source.citation
    name, _, row = said.rpartition(":")
    others = [c for c in one.claims if c is not claim and c.value.source.citation.rpartition(":")[0] == name]
    return name if name and row.isdecimal() and not others else said
