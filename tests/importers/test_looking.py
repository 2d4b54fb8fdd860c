"""A first look at a list tells what to ask, and the answers make a layout that can be kept."""

from __future__ import annotations

import io

from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.families.ac_capacitor import FAMILY as CAPACITOR
from partsdb.importers import Layout, References, layout_from_toml, read_list
from partsdb.importers.looking import answered, layout_toml, look_at
from partsdb.records import Part

KNOWN = References({"ac_capacitor": CAPACITOR}, family="ac_capacitor")
LIST = b"Art,uf,Kolor,Prijs\nA,25,grey,1.00\nB,30,,2.00\n"


def test_what_is_known_and_what_must_be_asked_are_told_apart() -> None:
    look = look_at(io.BytesIO(LIST), "list.csv", "catalogue", KNOWN)
    assert look.known == {"uf": "capacitance"}
    assert look.unknown == {"Art": ("A", "B"), "Kolor": ("grey",), "Prijs": ("1.00", "2.00")}
    assert [column.target for column in look.missing] == ["designation"]
    assert "maker" in [column.target for column in look.free]


def test_the_answers_make_the_list_readable_now_and_next_time() -> None:
    stream = io.BytesIO(LIST)
    look_at(stream, "list.csv", "catalogue", KNOWN)
    layout = answered(Layout(), {"Art": "designation", "Kolor": "", "Prijs": ""})
    assert look_at(stream, "list.csv", "catalogue", KNOWN, layout).missing == ()
    kept = layout_from_toml(layout_toml(layout))
    assert kept == layout
    listing = read_list(stream, "list.csv", "catalogue", KNOWN, kept)
    records = [record for _, record in listing]
    assert listing.findings == []
    assert all(isinstance(record, Part) for record in records)
    assert len(records) == 2


words = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(words, words, max_size=3), st.booleans(), st.sampled_from(["", ";", "\t"]))
def test_every_layout_reads_back_from_its_file(fixed: dict[str, str], full: bool, delimiter: str) -> None:
    layout = Layout(
        {"art.-nr.": "designation", 'a "b" \\ c': ""}, fixed, delimiter, date="%d/%m/%Y", full=full
    )
    assert layout_from_toml(layout_toml(layout)) == layout
