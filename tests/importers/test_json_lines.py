"""JSON: one object a line or one list; what is no object is one bad row."""

from __future__ import annotations

import io
import json

import pytest

from partsdb.errors import BadData
from partsdb.families.ac_capacitor import FAMILY as CAPACITOR
from partsdb.importers import Layout, References, read_list
from partsdb.importers.formats import Line, format_of
from partsdb.importers.json_lines import FORMAT
from partsdb.records import Part

KNOWN = References({"ac_capacitor": CAPACITOR}, family="ac_capacitor")
OBJECTS = [
    {"designation": "A", "capacitance": "25 µF", "aliases": ["old 1", "old 2"]},
    {"designation": "B", "maker": None, "uf": 30.5, "colour": {"ral": 7035}},
]


def lines(data: bytes) -> list[Line]:
    """The rows of those bytes."""
    return list(FORMAT.open(io.BytesIO(data), "list.jsonl", Layout()).rows)


def test_numbers_stay_as_they_are_written() -> None:
    data = b'{"a": 12.3456789012345678901, "b": 1e400, "c": 7, "d": true}\n'
    assert lines(data)[1].cells == ["12.3456789012345678901", "1e400", "7", "yes"]


@pytest.mark.parametrize("form", ["lines", "list"])
def test_objects_become_rows_whichever_way_they_are_written(form: str) -> None:
    text = "\n".join(map(json.dumps, OBJECTS)) if form == "lines" else json.dumps(OBJECTS, indent=1)
    listing = read_list(io.BytesIO(text.encode("utf-8-sig")), "list.json", "catalogue", KNOWN)
    records = [record for _, record in listing]
    assert listing.findings == []
    assert listing.ignored == ("colour",)
    first, second = records
    assert isinstance(first, Part)
    assert isinstance(second, Part)
    assert first.aliases == ("old 1", "old 2")
    assert first.spec.num("capacitance") == 25e-6
    assert second.spec.num("capacitance") == 30.5e-6


def test_a_line_that_is_no_object_is_one_bad_row() -> None:
    data = b'{"designation": "A"}\n[1, 2]\n{"designation": \n\n{"designation": "B"}\n"just text"\n'
    listing = read_list(io.BytesIO(data), "list.jsonl", "catalogue", KNOWN)
    assert [row for row, _ in listing] == [1, 5]
    assert [finding.where for finding in listing.findings if "an object" in finding.expected] == [
        "list.jsonl:2",
        "list.jsonl:3",
        "list.jsonl:6",
    ]


def test_a_name_that_comes_late_is_a_fault_of_its_row_and_not_dropped_in_silence() -> None:
    many = b'{"designation": "A%d"}\n'
    data = b"".join(many % i for i in range(300)) + b'{"designation": "Z", "uf": 25}\n'
    listing = read_list(io.BytesIO(data), "list.jsonl", "catalogue", KNOWN)
    assert len(list(listing)) == 300
    assert [finding.where for finding in listing.findings] == ["list.jsonl:301"]


def test_a_list_that_nests_without_end_or_breaks_off_is_refused() -> None:
    for data in (b"[" * 100_000, b'[{"designation": "A"}', b"[1"):
        with pytest.raises(BadData, match="not JSON"):
            read_list(io.BytesIO(data), "list.json", "catalogue", KNOWN)


def test_json_is_known_by_its_first_sign() -> None:
    assert format_of(io.BytesIO(b'\xef\xbb\xbf {"a": 1}'), "list").name == "json lines"
    assert format_of(io.BytesIO(b'[{"a": 1}]'), "list.txt").name == "json lines"
    assert format_of(io.BytesIO(b"[a],b\n1,2\n"), "list.csv").name == "delimited"
