"""What became of each piece that was typed of a part: used, harmless, understood but not considered, not understood.

    used             all of its legible glyphs are in what the reading says
    harmless         plate words, labels with their number (serial, patent), words that name this very kind
    not considered   a labelled figure that no rule of the kind looks at ("LRA 150")
    not understood   everything else; it stops a replacement where it says or may say that the part is another one:
                     a word of table change_words, a word that nobody knows outside a firm's name (table firm_words),
                     a number with a unit that nobody read or beside an unknown word, a piece read in part, a sign
                     behind the part's number that nobody knows, a legible glyph that the reading changes

Words are looked up whole in change_words, plate_words, plate_labels, plate_units and part_nouns (see `pieces`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from partsdb.family import Family
from partsdb.model import Evidence, Given, Question, Reading
from partsdb.reading.channel import Plate
from partsdb.reading.labels import labelled
from partsdb.reading.pieces import NUMBER, Lookup, Piece, pieces_of, plate_units, spelled, table

SHORTEST = 3  # a code of one or two signs of the table of words counts only behind a part's own number
_CODE = re.compile(r"[-/.]?[A-Z0-9][A-Z0-9./+-]*")
_MASS = "a mass"  # what it weighs never makes it another part
_COUNTED = re.compile(r"\d{1,2}-?[A-Z]{4,}")
_LONGEST_SUFFIX = 8  # signs of a piece that may still belong to a part's number
_MEASURE_AGAIN = "measure it again and read it again: one of the two is wrong, or it is another part"
_READ_AGAIN = "read it again, or say with --seen what it is"


def odd_words(texts: Iterable[str], family: Family) -> tuple[Given, ...]:
    """The words of the texts that change a part of this kind or tell of damage, where nothing else is known of them."""
    told = (word for text in texts for _, (_, word) in _changing(pieces_of(text), text, family))
    return tuple(dict.fromkeys(one for one in told if one.ask))


def account_of(
    family: Family, reading: Reading, plate: Plate, covered: frozenset[int], evidence: Sequence[Evidence]
) -> tuple[Given, ...]:
    """Every typed piece and what became of it under one reading. covered: the glyphs that the reading explains."""
    given: list[Given] = []
    used = [_Used(plate, covered, n) for n in range(len(reading.fragments))]
    for n, fragment in enumerate(reading.fragments):
        given += _in_fragment(fragment.text, family, used[n], _main_end(family, evidence, n))
    return (*given, *_unfaithful(family, reading, evidence))


class _Used:
    """Which glyphs of a fragment a reading explains."""

    def __init__(self, plate: Plate, covered: frozenset[int], fragment: int) -> None:
        # place in the text -> per glyph there: whether it is a legible letter or digit, and explained
        self.typed: dict[int, list[tuple[bool, bool]]] = {}
        for i, (at, start, _) in enumerate(plate.where):
            if at == fragment:
                glyph = plate.glyphs[i]
                says = bool(glyph.chars) and any(c.isalnum() for c in glyph.chars)
                self.typed.setdefault(start, []).append((says, i in covered))

    def share(self, piece: Piece) -> tuple[int, int]:
        """(legible letters and digits of the piece, how many of them the reading explains)."""
        glyphs = [g for at in range(piece.start, piece.end) for g in self.typed.get(at, ()) if g[0]]
        return len(glyphs), sum(read for _, read in glyphs)

    def wholly(self, piece: Piece) -> bool:
        """Whether the reading explains all that is legible of the piece; so it does where nothing is."""
        legible, read = self.share(piece)
        return legible == read

    def rest(self, piece: Piece) -> str:
        """What the reading leaves over of the piece."""
        return "".join(
            piece.text[at - piece.start]
            for at in range(piece.start, piece.end)
            if not any(read for _, read in self.typed.get(at, ()))
        )


def _in_fragment(text: str, family: Family, used: _Used, main_end: int) -> Iterator[Given]:
    """The account of one fragment. main_end: where the text of the part's own number ends in it, -1 without one."""
    pieces = pieces_of(text)
    told = dict(_changing(pieces, text, family))
    forms = {form.pieces[0]: form for form in labelled(text, (family.name,))}
    at = 0
    while at < len(pieces):
        piece = pieces[at]
        form = forms.get(at)
        if at in told:
            span, word = told[at]
            yield word
            at = span.stop
        elif form is not None and not all(used.wholly(pieces[k]) for k in form.label):
            yield _of_label(text, pieces, form.pieces, form.row, read=used.share(pieces[form.number])[1] > 0)
            at = form.pieces[-1] + 1
        elif used.wholly(piece):
            yield Given(piece.text, "used")
            at += 1
        elif (size := _harmless(pieces, at, family)) > 0:
            yield Given(text[piece.start : pieces[at + size - 1].end], "harmless")
            at += size
        else:
            unread, size = _not_understood(text, pieces, at, used, main_end)
            yield unread
            at += size


def _of_word(as_written: str, row: Mapping[str, str]) -> Given:
    if row["class"] == "harmless":
        return Given(as_written, "harmless", row["meaning"])
    of_piece = row["class"] in ("damage", "either")
    made_so = row["class"] == "either"
    told = row["meaning"], row["ask"]
    return Given(as_written, "not understood", *told, "safety", damaged=of_piece, made_so=made_so)


def _of_label(text: str, pieces: Sequence[Piece], at: range, row: Mapping[str, str], *, read: bool) -> Given:
    """A label with its number; where the reading took the number for something else, that stops it."""
    as_written = text[pieces[at[0]].start : pieces[at[-1]].end]
    if read:
        return Given(
            as_written,
            "not understood",
            f"it is the {row['meaning']}, and was read as something else",
            _READ_AGAIN,
        )
    if row["class"] in ("changes", "damage"):
        of_piece = row["class"] == "damage"
        return Given(
            as_written, "not understood", f"it is the {row['meaning']}", row["ask"], damaged=of_piece
        )
    return Given(as_written, "harmless" if row["class"] == "harmless" else "not considered", row["meaning"])


def _not_understood(
    text: str, pieces: Sequence[Piece], at: int, used: _Used, main_end: int
) -> tuple[Given, int]:
    """A piece that nothing explains, with how many pieces it takes: a number takes its unit."""
    piece = pieces[at]
    legible, read = used.share(piece)
    if 0 < read < legible:
        rest = used.rest(piece)
        if not any(char.isalnum() for char in rest):
            return Given(piece.text, "used"), 1
        return Given(
            piece.text, "not understood", f'"{rest}" of it was left over', _READ_AGAIN, misread=True
        ), 1
    if NUMBER.fullmatch(piece.folded) and at + 1 < len(pieces) and not used.wholly(pieces[at + 1]):
        meaning = plate_units().get(pieces[at + 1].folded)
        if meaning is not None:
            return _figure(
                text[piece.start : pieces[at + 1].end], f"{meaning} of something that isn't said"
            ), 2
    if (meaning := _glued_unit(piece)) is not None:
        return _figure(piece.text, f"{meaning} of something that isn't said"), 1
    if (size := _word_and_number(pieces, at, used)) > 0:
        as_written = text[piece.start : pieces[at + size - 1].end]
        return _figure(as_written, "a number beside a word that nobody here knows"), size
    if main_end >= 0 and piece.start >= main_end and _may_be_suffix(text, piece, main_end):
        says = "it stands behind the part's number, and nobody here knows what it means"
        return Given(
            piece.text,
            "not understood",
            says,
            "find out what this sign means; leave it out if it changes nothing",
        ), 1
    if piece.folded.isalpha() and len(piece.folded) >= SHORTEST and not _of_a_name(pieces):
        ask = "find out what it means; leave it out if it is only a name"
        return Given(piece.text, "not understood", "nobody here knows this word", ask), 1
    return Given(piece.text, "not understood"), 1


def _word_and_number(pieces: Sequence[Piece], at: int, used: _Used) -> int:
    """How many pieces from here are an unknown word with its number ("CURED 1988", "88 SHORE", "2-SPEED"); 0 when they
    are none. A code of letters and digits is no such thing: type numbers stand on most plates."""
    if _COUNTED.fullmatch(pieces[at].folded):
        return 1
    pair = pieces[at : at + 2]
    if len(pair) < 2 or any(used.wholly(piece) for piece in pair):
        return 0
    kinds = [bool(NUMBER.fullmatch(piece.folded)) for piece in pair]
    words = [piece.folded.isalpha() and len(piece.folded) >= SHORTEST for piece in pair]
    return 2 if (kinds[0] and words[1]) or (words[0] and kinds[1]) else 0


def _of_a_name(pieces: Sequence[Piece]) -> bool:
    """Whether a line is the name of a firm ("HARLOW & SONS")."""
    firms = table("firm_words")
    return any(True for at in range(len(pieces)) for _ in firms.at(pieces, at))


def _figure(as_written: str, meaning: str) -> Given:
    if meaning.startswith(_MASS):
        return Given(as_written, "harmless", meaning)
    ask = "find out what this figure is of, and whether the new part must have it; leave it out if not"
    return Given(as_written, "not understood", meaning, ask)


def _may_be_suffix(text: str, piece: Piece, main_end: int) -> bool:
    """Whether a piece stands close behind the part's number like a sign that belongs to it."""
    between = text[main_end : piece.start]
    return (
        not between.strip(" -/.")
        and len(piece.folded) <= _LONGEST_SUFFIX
        and bool(_CODE.fullmatch(piece.folded))
    )


def _main_end(family: Family, evidence: Sequence[Evidence], fragment: int) -> int:
    """Where the text of what names the part by code ends in a fragment, with all that was read behind it."""
    named = [
        e.where
        for e in evidence
        if e.where is not None
        and e.where[0] == fragment
        and e.attribute in family.main
        and e.faith != "changed"
        and family.attribute(e.attribute).unit is None
    ]
    if not named:
        return -1
    end = max(where[2] for where in named)
    others = sorted(e.where[1:] for e in evidence if e.where is not None and e.where[0] == fragment)
    for start, stop in others:
        if start <= end + 1:
            end = max(end, stop)
    return end


def _unfaithful(family: Family, reading: Reading, evidence: Sequence[Evidence]) -> Iterator[Given]:
    """What the reading changes of legible glyphs, takes for granted, and what was measured otherwise."""
    told: set[object] = set()
    for e in evidence:
        if e.faith == "contradicted":
            yield Given(e.note, "not understood", f"its plate says {e.says}", _MEASURE_AGAIN, measured=True)
            continue
        if e.where is None or e.faith == "exact" or e.where in told:
            continue
        attribute = family.attribute(e.attribute)
        if attribute.silence is not None and attribute.silence.kind == "no matter":
            continue
        told.add(e.where)
        fragment, start, end = e.where
        typed = reading.fragments[fragment].text[start:end]
        word = attribute.unit is None and attribute.name not in family.main
        if e.faith == "changed":
            says = f"you typed {typed}, it is read as {attribute.title} {e.says}"
        elif attribute.unit is not None:
            says = f"it is read as {attribute.title} {e.says}, though nothing beside it says so"
        else:
            continue
        # nothing rests on a word that is read otherwise than it stands there: its attribute counts as unknown
        yield Given(typed, "not understood", says, "" if word else _READ_AGAIN, misread=not word)


# --------------------------------------------------------------------------- the tables of words


def _changing(
    pieces: Sequence[Piece], text: str, family: Family
) -> Iterator[tuple[int, tuple[range, Given]]]:
    """Where a word of change_words stands that the family doesn't read itself: its first piece, all of them, what it
    says."""
    own, known = _read_by(family), table("change_words", shortest=SHORTEST)
    at = 0
    while at < len(pieces):
        read = max((len(e.words) for e in own.at(pieces, at)), default=0)
        found = next((e for e in known.at(pieces, at) if e.of(family.name)), None)
        if found is None or len(found.words) <= read:
            at += max(read, 1)
            continue
        span = range(at, at + len(found.words))
        as_written = text[pieces[at].start : pieces[span[-1]].end]
        yield at, (span, _of_word(as_written, found.row))
        at = span.stop


def _harmless(pieces: Sequence[Piece], at: int, family: Family) -> int:
    """How many pieces from here are a word that any plate carries, or that names this very kind; 0 when none."""
    nouns = (e for e in table("part_nouns").at(pieces, at) if e.row["family"] == family.name)
    own = (_named(family), table("plate_words"))
    found = [*nouns, *(e for lookup in own for e in lookup.at(pieces, at))]
    return max((len(e.words) for e in found), default=0)


def _named(family: Family) -> Lookup:
    labels = (w.template for field in family.fields if not field.attributes for w in field.writings)
    return spelled((family.title, *family.words, *labels))


def _read_by(family: Family) -> Lookup:
    """What the family reads itself: the spellings of its code words."""
    return spelled(
        tuple(word for a in family.attributes for code in a.codes for word in a.spellings.get(code, (code,)))
    )


def _glued_unit(piece: Piece) -> str | None:
    """What a number that is written together with its unit measures ("150NM")."""
    found = re.fullmatch(r"[±+~-]*(\d+(?:[.,]\d+)?)([^\d\s].*)", piece.folded)
    return plate_units().get(found[2]) if found else None


# --------------------------------------------------------------------------- kinds that nobody has rules for


@dataclass(frozen=True, slots=True)
class OtherKind:
    """A kind of part that nobody here has rules for, and the noun on the plate that names it."""

    kind: str
    as_written: str

    @property
    def told(self) -> str:
        """What a person is told of it."""
        return (
            f'This reads like a {self.kind} ("{self.as_written}"): there are no rules for one here. '
            "What is said of it holds only if it is something else."
        )

    @property
    def question(self) -> Question:
        """What stops everything until somebody has looked."""
        about = f'whether it is a {self.kind} ("{self.as_written}" on it)'
        return Question(
            about, "look at it", "safety", "what is judged here is another kind of part", of_part=True
        )


def other_kind(texts: Iterable[str], families: Iterable[Family]) -> OtherKind | None:
    """The kind that a noun at the head of a text names, when nobody has rules for it and no noun there names a kind
    that is known ("TIMING BELT T10 780"; a plate with MOTOR on it is a motor's, whatever the motor drives).

    >>> from partsdb.family import families
    >>> other_kind(["TIMING BELT T10 780"], families().values()).kind
    'timing belt'
    >>> other_kind(["PUMP MOTOR 3 HP"], families().values())
    """
    every = tuple(families)
    known = {family.name for family in every}
    named = spelled(tuple(name for family in every for name in (family.title, *family.words)))
    heads: list[OtherKind] = []
    for text in texts:
        pieces, at = pieces_of(text), 0
        while at < len(pieces):
            own = max((len(e.words) for e in named.at(pieces, at)), default=0)
            found = next(table("part_nouns", shortest=SHORTEST).at(pieces, at), None)
            length = len(found.words) if found else 0
            if own >= max(length, 1) or (found and found.row["family"] in known):
                return None
            read = any(True for family in every for _ in _read_by(family).at(pieces, at))
            if found and at == 0 and not read:
                heads.append(OtherKind(found.row["kind"], text[: pieces[length - 1].end].strip()))
            at += max(length, 1)
    return heads[0] if heads else None
