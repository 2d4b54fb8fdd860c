"""Laws of reading: hiding never helps, probabilities add up, what is printed reads back, nothing crashes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.errors import BadInput
from partsdb.family import families
from partsdb.model import Context, Glyph, Identification, Measured
from partsdb.reading import identify, read
from partsdb.reading.channel import ALPHABET, MISREAD, confusion, log_odds, misreading
from partsdb.reading.instruments import as_value
from support.kinds import CONDENSER, KINDS
from support.plates import first_printed

TYPED = st.text(alphabet="0123456789ABCEFHMPRSVZ?./- [38]…µ~", max_size=24)
NASTY = (
    "?", "...", "…", "?" * 80, "." * 200, "9" * 300, "[38]" * 60, "µ", "∅", "½", "\u200b", "\x00", "İ", "ß", "𝟛𝟚",
    "٣٤", "25 MFD" * 40, "- - - -", "/", "1/0", "0/0", "1e999", "NaN", "440V" + " " * 500 + "60", "ﬁ", "🙂", "\t\n",
    "A\u0301",
)  # fmt: skip


@given(st.sampled_from(ALPHABET), st.sampled_from(ALPHABET))
def test_hiding_a_glyph_that_agrees_with_one_text_never_helps_it(true: str, rival: str) -> None:
    """Substitutions only: the odds true : rival with the glyph seen are at least the odds with it hidden."""
    table = confusion(MISREAD)
    seen, hidden = log_odds(Glyph(true, 0), table), log_odds(Glyph("", 0), table)
    t, r = ALPHABET.index(true), ALPHABET.index(rival)
    assert seen[t] - seen[r] >= hidden[t] - hidden[r]


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_hiding_a_digit_of_the_truth_never_raises_its_odds(data: st.DataObject) -> None:
    """The same through the whole decoder, for a rival written with as many glyphs."""
    farads = [float(r.values[0]) for r in CONDENSER.fields[0].rows if isinstance(r.values[0], float)]
    two = [x for x in farads if len(f"{x * 1e6:.4g}") == 2]
    true, rival = data.draw(st.sampled_from(two)), data.draw(st.sampled_from(two))
    text = f"{true * 1e6:.4g}"
    k = data.draw(st.sampled_from([n for n in (0, 1) if text[n] != f"{rival * 1e6:.4g}"[n]] or [0]))
    hidden = text[:k] + "?" + text[k + 1 :]

    def odds(digits: str) -> float:
        found = identify(read([f"{digits} MFD", "440 VAC"]), {"condenser": CONDENSER}, keep=500)
        p = {
            round((h.spec.num("capacitance") or 0) * 1e6, 3): h.probability
            for h in reversed(found.hypotheses)
        }
        return p.get(round(true * 1e6, 3), 0.0) / max(p.get(round(rival * 1e6, 3), 0.0), 1e-12)

    if true != rival:
        assert odds(text) >= odds(hidden) * (1 - 1e-6)


@settings(max_examples=60, deadline=None)
@given(st.lists(TYPED, max_size=4), st.sampled_from([(), (Measured("bore", 0.025, 1e-4),)]))
def test_hypotheses_and_leftover_sum_to_one(fragments: list[str], measured: tuple[Measured, ...]) -> None:
    try:
        reading = read(fragments, measured)
    except BadInput:
        return
    found = identify(reading, KINDS)
    assert sum(h.probability for h in found.hypotheses) + found.unlisted + found.leftover == pytest.approx(
        1.0, abs=1e-9
    )
    assert all(0 <= h.probability <= 1 for h in found.hypotheses)
    for marginal in found.marginals:
        assert sum(p for _, p in marginal.outcomes) == pytest.approx(1.0, abs=1e-6)
    for h in found.hypotheses:
        for evidence in h.evidence:
            if evidence.where is not None:
                f, start, end = evidence.where
                assert 0 <= start < end <= len(reading.fragments[f].text)


@pytest.mark.parametrize("text", NASTY)
def test_nasty_text_is_read_or_refused_but_never_crashes(text: str) -> None:
    for fragments in ([text], [text, "25 MFD 440 VAC"]):
        try:
            reading = read(fragments)
        except BadInput:
            continue
        found = identify(reading, KINDS)
        assert sum(
            h.probability for h in found.hypotheses
        ) + found.unlisted + found.leftover == pytest.approx(1.0, abs=1e-9)


def test_every_glyph_is_seen_as_something() -> None:
    for legible in (0.0, 0.5, 1.0):
        table = confusion(misreading(legible))
        assert np.allclose(table.sum(axis=1), 1.0)
        assert (table > 0).all()


@pytest.mark.parametrize("name", sorted(families()))
def test_a_printed_row_reads_back_to_itself(name: str) -> None:
    """Rows of every field, written with the first writing that can, four glyphs or more: the row comes first."""
    family = families()[name]
    wrong = []
    for text, said in first_printed(family, per_field=2):
        if len(text.replace(" ", "")) < 4:
            continue  # one to three glyphs alone may be anything
        found = identify(read([text], (), Context(family=name)), {name: family})
        wrong += [f"{text!r} isn't {a} {v}" for a, v in said.items() if not _says(found, a, v)]
    assert wrong == []


def _says(found: Identification, attribute: str, value: object) -> bool:
    want = as_value(attribute, value)
    same = [
        v
        for v in (found.best.spec.all(want.attribute) if found.best else ())
        if (v.qualifier, v.variant) == (want.qualifier, want.variant)
    ]
    if want.code is not None:
        return any(v.code == want.code for v in same)
    return any(v.low == pytest.approx(want.low, rel=2e-3) for v in same)
