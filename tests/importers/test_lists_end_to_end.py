"""Lists in, records out: the subjects, on lists as people and suppliers write them."""

from __future__ import annotations

import io
from datetime import date, time

import pytest

from partsdb.errors import BadData, NotFound
from partsdb.families.ac_capacitor import FAMILY as CAPACITOR
from partsdb.families.rolling_bearing import FAMILY as BEARING
from partsdb.importers import Layout, Listing, References, layout_from_toml, read_list, subjects
from partsdb.money import Money
from partsdb.records import Delivery, Offer, Part, Succession, Supplier

FAMILIES = {family.name: family for family in (CAPACITOR, BEARING)}
KNOWN = References(
    FAMILIES,
    part_id=lambda designation, maker: {"ZQ 25-440": "part-1"}.get(designation),
    supplier_id=lambda name: {"Oskarby": "supplier-1"}.get(name),
)


def listed(text: str, subject: str, known: References = KNOWN, layout: Layout | None = None) -> Listing:
    """A list from its text."""
    return read_list(io.BytesIO(text.encode()), "list.csv", subject, known, layout)


def good(text: str, subject: str, known: References = KNOWN, layout: Layout | None = None) -> list[object]:
    """The records of a list that has no fault."""
    listing = listed(text, subject, known, layout)
    records = [record for _, record in listing]
    assert listing.findings == []
    return records


def faults(text: str, subject: str, known: References = KNOWN) -> list[str]:
    """The faults of a list, as the person sees them."""
    listing = listed(text, subject, known)
    list(listing)
    return [str(finding) for finding in listing.findings]


SHELF = """kind,designation,capacitance (µF),voltage_ac [V],frequency,quantity,condition,tested on,bin
run capacitor,ZQ 25-440,25,440,60 Hz,2,new,,A3
ac_capacitor,,88-108 µF,250 V,,1,,2026-10-02,A4
"""


def test_there_are_lists_of_six_subjects() -> None:
    assert set(subjects()) == {"shelf", "catalogue", "suppliers", "offers", "deliveries", "successions"}
    with pytest.raises(NotFound, match="There are lists of"):
        listed("a\n1\n", "songs")


def test_a_shelf_list_gives_parts_with_values_in_si_and_their_source() -> None:
    first, second = good(SHELF, "shelf")
    assert isinstance(first, Part)
    assert (first.designation, first.quantity, first.condition, first.place) == ("ZQ 25-440", 2, "new", "A3")
    assert first.spec.num("capacitance") == 25e-6
    assert first.spec.num("voltage_ac") == 440
    assert first.spec.num("frequency") == 60
    value = first.spec.first("capacitance")
    assert value is not None
    assert (str(value.source), value.as_written) == ("list.csv:2 (stated)", "25")
    assert isinstance(second, Part)
    assert second.condition == "unknown"
    assert second.tested_on == date(2026, 10, 2)
    range_ = second.spec.first("capacitance")
    assert range_ is not None
    assert (range_.low, range_.high) == (88e-6, 108e-6)


def test_the_same_list_gives_the_same_records() -> None:
    assert good(SHELF, "shelf") == good(SHELF, "shelf")


def test_a_number_without_a_unit_is_refused_because_nobody_knows_what_it_means() -> None:
    found = faults("kind,designation,capacitance\nac_capacitor,ZQ,25\n", "catalogue")
    assert len(found) == 1
    assert "list.csv:2, capacitance: found '25', expected a number with its unit, like 25 µF" in found[0]


@pytest.mark.parametrize(
    "header", ["MFD", "uF", "C (µF)", "capacitance in uF", "Capacitance, µF", "capacitance_uf"]
)
def test_a_unit_in_the_header_serves_every_cell(header: str) -> None:
    text = f'kind,designation,"{header}"\nac_capacitor,ZQ,25\n'
    (part,) = good(text, "catalogue")
    assert isinstance(part, Part)
    assert part.spec.num("capacitance") == 25e-6


def test_a_unit_in_the_cell_wins_over_the_header() -> None:
    (part,) = good("kind,designation,bore (mm)\nrolling_bearing,X 9,1 in\n", "catalogue")
    assert isinstance(part, Part)
    assert part.spec.num("bore") == 0.0254


@pytest.mark.parametrize(
    ("header", "cell", "expected"),
    [
        ("voltage", "440 VDC", "an AC value"),
        ("voltage_dc", "440 VAC", "a DC value"),
        ("phases", "3 A", "a number without a unit"),
        ("voltage", "25 µF", "a number with its unit, like 25 V"),
        ("voltage", "440 V", "440 VAC or 440 VDC: which of the two"),
        ("volts", "440", "440 VAC or 440 VDC: which of the two"),
    ],
)
def test_a_value_in_the_wrong_column_is_a_fault_and_never_taken_for_the_right_one(
    header: str, cell: str, expected: str
) -> None:
    (found,) = faults(f"kind,designation,{header}\nac_capacitor,ZQ,{cell}\n", "catalogue")
    assert f"list.csv:2, {header}: found {cell!r}, expected {expected}" in found


def test_a_cell_with_a_value_for_each_connection_ties_them_together() -> None:
    (part,) = good("kind,designation,voltage,uf\nac_capacitor,ZQ,220/440 VAC,25\n", "catalogue")
    assert isinstance(part, Part)
    assert [(v.variant, v.low) for v in part.spec.all("voltage_ac")] == [(1, 220.0), (2, 440.0)]


def test_every_fault_of_every_row_is_reported_at_once() -> None:
    found = faults(
        "kind,designation,capacitance (µF),quantity,condition\n"
        "ac_capacitor,A,many,two,new\n"
        "ac_capacitor,B,25,1,shiny\n"
        "flux capacitor,C,25,1,new\n"
        "ac_capacitor,D,25,-1,new,surplus\n"
        "ac_capacitor,E,25,1,new\n",
        "shelf",
    )
    assert [line.partition(":")[2].partition(":")[0] for line in found] == [
        "2, capacitance (µF)",
        "2, quantity",
        "3, condition",
        "4, kind",
        "5",
        "5, quantity",
    ]


def test_bad_rows_are_kept_as_they_were_and_good_ones_go_on() -> None:
    listing = listed(SHELF.replace("440,60 Hz,2", "440,60 Hz,two"), "shelf")
    assert [row for row, _ in listing] == [3]
    assert listing.bad_rows == [
        (2, ("run capacitor", "ZQ 25-440", "25", "440", "60 Hz", "two", "new", "", "A3"))
    ]
    assert listing.read == 2


def test_a_row_that_comes_twice_is_a_fault() -> None:
    found = faults("kind,designation\nac_capacitor,A\nac_capacitor,A\n", "catalogue")
    assert found == ["list.csv:3: found 'ac_capacitor A', expected a row that isn't in the list already"]


def test_columns_nobody_reads_are_named() -> None:
    assert listed("kind,designation,colour\nac_capacitor,A,grey\n", "catalogue").ignored == ("colour",)


def test_a_list_without_a_needed_column_is_refused_at_once() -> None:
    with pytest.raises(BadData, match="lacks columns") as caught:
        listed("supplier,designation\nOskarby,A\n", "offers")
    assert [str(finding) for finding in caught.value.findings] == [
        "list.csv:1: found 'supplier, designation', expected a column 'price'"
    ]


OFFERS = """Order code;Part number;Unit price;Availability;Lead time;Pack size;Price date
H-1;ZQ 25-440;12,50 EUR;in stock;;1;04.11.2026
H-2;ZQ 25-440;1.112,5;17;2-4;10;2026-11-05
"""


def test_a_price_list_gives_offers() -> None:
    known = References(FAMILIES, KNOWN.part_id, supplier="supplier-1", currency="EUR")
    first, second = good(OFFERS, "offers", known)
    assert isinstance(first, Offer)
    assert isinstance(second, Offer)
    assert (first.supplier_id, first.part_id, first.price) == ("supplier-1", "part-1", Money(125_000, "EUR"))
    assert (first.stock, first.stock_units, first.lead_days) == ("in stock", None, (5, 10))
    assert first.quoted_on == date(2026, 11, 4)
    assert second.price == Money(11_125_000, "EUR")
    assert (second.stock, second.stock_units, second.lead_days, second.pack) == ("in stock", 17, (2, 4), 10)


def test_an_offer_of_an_unknown_part_brings_the_part_when_its_kind_is_stated() -> None:
    text = "supplier,designation,price,kind,uf,v ac\nOskarby,NEW 30,9.10,ac_capacitor,30,450\n"
    part, offer = good(text, "offers")
    assert isinstance(part, Part)
    assert isinstance(offer, Offer)
    assert offer.part_id == part.id
    assert (part.quantity, part.condition, part.spec.num("capacitance")) == (0, None, 30e-6)


def test_an_offer_of_an_unknown_part_or_supplier_is_a_fault() -> None:
    found = faults("supplier,designation,price\nOskarbi,NEW 30,9.10\n", "offers")
    assert [line.partition(" expected ")[2] for line in found] == [
        "a supplier in the records",
        "a part in the records, or its kind in a column 'kind of part' or in its description",
    ]


def test_a_repair_is_offered_of_a_kind_of_part() -> None:
    (offer,) = good("supplier,kind,price,repair\nOskarby,ac_capacitor,80,yes\n", "offers")
    assert isinstance(offer, Offer)
    assert (offer.repair, offer.part_id) == (True, "ac_capacitor")


SUPPLIERS = """name,time zone,country,service,cut-off,transit days,freight,minimum order,delivers,repairs
Oskarby,Europe/London,gb,van,15:30,1,6.50,25,mon-sat,ac_capacitor
Oskarby,Europe/London,gb,courier,9:00,1-2,14,,,
Zellmoor,Europe/Berlin,DE,post,12:00,3-5,9 EUR,,,
"""


def test_a_supplier_has_a_service_for_each_of_its_rows() -> None:
    oskarby, zellmoor = good(SUPPLIERS, "suppliers")
    assert isinstance(oskarby, Supplier)
    assert isinstance(zellmoor, Supplier)
    assert oskarby.id == "supplier-1"
    assert [service.name for service in oskarby.services] == ["van", "courier"]
    assert oskarby.services[0].delivers == (0, 1, 2, 3, 4, 5)
    assert oskarby.services[1].cut_off == time(9)
    assert oskarby.minimum_order == Money(250_000, "GBP")
    assert oskarby.repairs == ("ac_capacitor",)
    assert zellmoor.services[0].freight == Money(90_000, "EUR")
    assert zellmoor.services[0].transit_days == (3, 5)


def test_a_fault_in_one_service_drops_its_supplier_and_no_other() -> None:
    listing = listed(SUPPLIERS.replace("9:00", "nine"), "suppliers")
    assert [record.name for _, record in listing] == ["Zellmoor"]  # type: ignore[attr-defined]  # suppliers
    assert [finding.where for finding in listing.findings] == ["list.csv:3"]


DELIVERIES = """supplier,ordered,received,quoted days,said in stock,was in stock,right
Oskarby,2026-09-01,2026-09-03,1-2,yes,yes,yes
Oskarby,2026-09-01,2026-09-03,1-2,yes,yes,yes
Oskarby,2026-10-01,,3,no,,
"""


def test_past_deliveries_that_look_alike_are_still_two() -> None:
    first, second, third = good(DELIVERIES, "deliveries")
    assert isinstance(first, Delivery)
    assert isinstance(second, Delivery)
    assert isinstance(third, Delivery)
    assert first.id != second.id
    assert first.quoted_days == (1, 2)
    assert (first.said_in_stock, first.was_in_stock, first.right) == (True, True, True)
    assert (third.received_on, third.was_in_stock, third.said_in_stock) == (None, None, False)


def test_a_delivery_before_its_order_is_a_fault() -> None:
    found = faults(DELIVERIES.replace("2026-10-01,", "2026-10-01,2026-09-30"), "deliveries")
    assert found == ["list.csv:4, received: found '2026-09-30', expected a day after the order, 2026-10-01"]


def test_a_layout_names_columns_and_fills_in_what_the_list_doesnt_say() -> None:
    layout = layout_from_toml(
        '[columns]\n"Art" = "designation"\n"C1" = "capacitance:µF"\n"U2" = "voltage_ac#2:V"\n"price" = ""\n'
        '[fixed]\nfamily = "ac_capacitor"\n'
    )
    listing = listed("Art,C1,U2,price\nZQ 7,25,440,3\n", "catalogue", layout=layout)
    ((_, part),) = list(listing)
    assert isinstance(part, Part)
    assert part.spec.num("capacitance") == 25e-6
    value = part.spec.first("voltage_ac")
    assert value is not None
    assert value.variant == 2
    assert listing.ignored == ("price",)


def test_control_characters_are_refused_and_shown_harmless() -> None:
    found = faults("kind,designation\nac_capacitor,\x1b[2Jgone\n", "catalogue")
    assert len(found) >= 1
    assert "\x1b" not in "".join(found)
    assert "without control characters" in found[0]


def test_a_guarded_formula_is_read_as_the_text_it_guards() -> None:
    first, second = good("kind,designation\nac_capacitor,'=1+1\nac_capacitor,'quoted'\n", "catalogue")
    assert isinstance(first, Part)
    assert isinstance(second, Part)
    assert (first.designation, second.designation) == ("=1+1", "'quoted'")


def test_a_list_of_successions_gives_numbers_and_makers() -> None:
    first, second = good(
        "old maker,old number,relation,new maker,new number,since\n"
        "Tarnwick,A 1,,Tarnwick,A 2,2019-01-01\nTarnwick,,maker became,Trelvanik,,\n",
        "successions",
    )
    assert isinstance(first, Succession)
    assert isinstance(second, Succession)
    assert (first.kind, first.number, first.to_number) == ("superseded by", "A 1", "A 2")
    assert (second.kind, second.to_maker) == ("maker became", "Trelvanik")


def test_a_succession_that_says_half_or_nothing_is_a_fault() -> None:
    found = faults(
        "old maker,old number,relation,new maker,new number\n"
        "Tarnwick,A 1,,Tarnwick,\nTarnwick,A 1,maker became,Trelvanik,\n"
        "Tarnwick,A 1,same as,Tarnwick,A 1\nTarnwick,A 1,like,Tarnwick,A 2\n",
        "successions",
    )
    assert [line.partition(" expected ")[2].partition(",")[0] for line in found] == [
        "two numbers",
        "two makers and no numbers",
        "another number than its own",
        "one of superseded by",
    ]


def test_a_suppliers_list_that_leaves_the_way_open_is_refused_not_taken_as_short_and_free() -> None:
    silent = b"name,zone,country,service,cut-off\nVellmoor,Europe/London,GB,van,15:00\n"
    with pytest.raises(BadData, match="transit days, freight"):
        read_list(io.BytesIO(silent), "suppliers.csv", "suppliers", KNOWN)
    blank = b"name,zone,country,service,cut-off,transit days,freight\nVellmoor,Europe/London,GB,van,15:00,,\n"
    listing = read_list(io.BytesIO(blank), "suppliers.csv", "suppliers", KNOWN)
    assert list(listing) == []
    assert {finding.column for finding in listing.findings} == {"transit days", "freight"}
