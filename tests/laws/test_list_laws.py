"""Laws of lists: whatever the bytes, the answer is records and findings or one clear line; twice equals once."""

from __future__ import annotations

import io
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from partsdb.errors import PartsError
from partsdb.families.ac_capacitor import FAMILY as CAPACITOR
from partsdb.families.contactor import FAMILY as CONTACTOR
from partsdb.importers import Layout, References, finish, read_list, subjects
from partsdb.store import About, Store, logical_dump
from support import stored

KNOWN = References(
    {"ac_capacitor": CAPACITOR, "contactor": CONTACTOR},
    part_id=lambda designation, maker: "p" if designation.startswith("P") else None,
    supplier_id=lambda name: "s" if name == "S" else None,
    supplier="s",
)
HEADERS = sorted(
    {word for subject in subjects().values() for c in subject.columns for word in (c.title, c.target)}
)
CELLS = st.one_of(
    stored.texts,
    st.sampled_from(
        ["P1", "S", "25 µF", "440", "12,50", "1,250", "-3", "in stock", "2026-11-04", "31.02.2026", "5-3"]
    ),
    st.sampled_from(
        ["ac_capacitor", "contactor", "Europe/London", "../../etc", "yes", "15:30", "25:99", "GB", "1e999"]
    ),
    st.integers().map(str),
    st.floats().map(str),
)


@st.composite
def sheets(draw: st.DrawFn) -> bytes:
    """CSV with headers that mean something and cells that mean anything."""
    headers = draw(
        st.lists(
            st.sampled_from([*HEADERS, "uf", "v ac", "C (µF)", "AC-3", "coil V"]), min_size=1, max_size=8
        )
    )
    rows = draw(st.lists(st.lists(CELLS, max_size=9), max_size=5))
    delimiter = draw(st.sampled_from([",", ";", "\t"]))
    lines = [delimiter.join(f'"{cell}"' for cell in cells) for cells in [headers, *rows]]
    return "\n".join(lines).encode(draw(st.sampled_from(["utf-8", "utf-16", "utf-8-sig"])), errors="replace")


HEADS = st.sampled_from(
    [b"", b"PK\x03\x04", b"[", b'{"designation": ', b"\xff\xfe", b"\xef\xbb\xbf", b"designation,price\n"]
)


@pytest.mark.parametrize("subject", sorted(subjects()))
@settings(max_examples=40, deadline=None)
@given(data=st.one_of(sheets(), st.builds(bytes.__add__, HEADS, st.binary(max_size=80))))
def test_any_bytes_are_records_and_findings_or_one_clear_line(subject: str, data: bytes) -> None:
    try:
        listing = read_list(io.BytesIO(data), "list", subject, KNOWN)
        rows = [row for row, _ in listing]
    except PartsError as trouble:
        assert "\n" not in str(trouble)
        return
    assert rows == sorted(rows) or subject == "suppliers"
    assert bool(listing.findings) == bool(listing.bad_rows)
    assert not any(c in str(finding) for finding in listing.findings for c in "\x1b\x00\n")


ROWS = st.lists(
    st.tuples(
        st.sampled_from(["P1", "P2", "P3", "X"]),
        st.sampled_from(["1.00", "2.50", "dear"]),
        st.sampled_from(["", "1", "10"]),
    ),
    max_size=6,
)


def _dump(store: Store) -> list[str]:
    return [line for line in logical_dump(store) if not line.startswith(('["imports"', '["meta"'))]


@settings(max_examples=30, deadline=None)
@given(ROWS, ROWS)
def test_a_list_brought_in_twice_is_a_list_brought_in_once(
    old: list[tuple[str, ...]], new: list[tuple[str, ...]]
) -> None:
    with tempfile.TemporaryDirectory() as folder, stored.opened(Path(folder)) as store:
        store.put(stored.plain_supplier(), stored.plain_part())
        for rows in (old, new):
            _bring(store, rows, "first")
        once, version = _dump(store), store.version()
        _bring(store, new, "first")
        faulty = any(row[0] == "X" or row[1] == "dear" for row in new) or len(
            {(r[0], r[2] or "1") for r in new}
        ) < len(new)
        assert (store.version() == version) or faulty
        _bring(store, new, "again")
        assert _dump(store) == once


def _bring(store: Store, rows: list[tuple[str, ...]], digest: str) -> None:
    text = "\n".join(map(",".join, [("designation", "price", "pack"), *rows]))
    listing = read_list(io.BytesIO(text.encode()), "list.csv", "offers", KNOWN, Layout())
    about = About(listing.source, listing.digest + digest, listing.importer, stored.NOW)
    with finish(listing) as rows:
        store.bring(rows, replace(about, faults=len(listing.bad_rows)))
