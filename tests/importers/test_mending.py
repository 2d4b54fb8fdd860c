"""Bad rows go out with what is wrong, are corrected, and come in as part of the same list."""

from __future__ import annotations

import io

import pytest

from partsdb.families.ac_capacitor import FAMILY as CAPACITOR
from partsdb.importers import Layout, Listing, References, mend_name, read_list

KNOWN = References({"ac_capacitor": CAPACITOR}, supplier="s", part_id=lambda designation, maker: "p")
LIST = "designation;price;stock\nA;12,50;in stock\nB;dear;=1+1\nC;9,00;maybe\n"


def read(data: bytes, name: str = "prices.csv", layout: Layout | None = None) -> tuple[Listing, list[object]]:
    """The list used up, and its records."""
    listing = read_list(io.BytesIO(data), name, "offers", KNOWN, layout)
    return listing, [record for _, record in listing]


def test_the_file_to_be_mended_has_the_bad_rows_and_says_what_is_wrong() -> None:
    listing, _ = read(LIST.encode())
    text = listing.mend().decode("utf-8-sig").splitlines()
    assert text[0] == "designation;price;stock;what is wrong"
    assert text[1].startswith("B;dear;'=1+1;")
    assert "price: expected an amount" in text[1]
    assert "stock: expected in stock" in text[1]
    assert text[2].startswith("C;9,00;maybe;")


@pytest.mark.parametrize("layout", [None, Layout(delimiter=";", encoding="cp1252", decimal=",")])
def test_mended_rows_make_the_records_that_a_faultless_list_would_have_made(layout: Layout | None) -> None:
    listing, good = read(LIST.encode(), layout=layout)
    mended = listing.mend().replace(b"dear", b"14,00").replace(b"'=1+1", b"to order").replace(b"maybe", b"4")
    again, rest = read(mended, mend_name("prices.csv"), layout)
    assert again.findings == []
    assert again.source == listing.source
    whole = LIST.replace("dear", "14,00").replace("=1+1", "to order").replace("maybe", "4")
    _, all_at_once = read(whole.encode(), layout=layout)
    ids = {record.id for record in (*good, *rest)}  # type: ignore[attr-defined]  # offers
    assert ids == {record.id for record in all_at_once}  # type: ignore[attr-defined]  # offers


def test_rows_still_wrong_go_to_the_same_file_without_a_second_column_of_faults() -> None:
    listing, _ = read(LIST.encode())
    again, _ = read(listing.mend(), mend_name("prices.csv"))
    assert again.mend() == listing.mend()
    assert mend_name(mend_name("prices.csv")) == "prices.to-mend.csv"


def test_control_characters_are_made_visible_and_refused_until_they_are_gone() -> None:
    listing, _ = read(b"designation,price\n\x1b[2JA,1.00\n")
    assert b"\x1b" not in listing.mend()
    again, records = read(listing.mend(), mend_name("prices.csv"))
    assert records == []
    assert "control characters" in str(again.findings[0])
