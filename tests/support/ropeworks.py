"""A small shop, built with the program's own commands: what a user has after the first evening."""

from __future__ import annotations

from pathlib import Path

from support.commands import partsdb

DATA = Path(__file__).parents[2] / "seed_data" / "rope_works"

STEPS = (
    "shop set Ropewalk --region ENG --supply 415V --hertz 50 --phases 3 --rate EUR=0.86 --fitters 2 --labour 38",
    'machine add strander --year 1953 --country US --plate "440 V 60 Hz"',
    'position add strander "run capacitor" --kind capacitor --duty service=run',
    'position add strander "main contactor" --kind contactor --duty "starting=inched or reversed" '
    '--duty "load_current=19 A" --duty "control_voltage=104 V" --duty control_kind=AC',
    f"import suppliers {DATA / 'suppliers.csv'}",
    f"import shelf {DATA / 'shelf.csv'}",
    f"import offers {DATA / 'offers_electrical.csv'}",
    f"import deliveries {DATA / 'deliveries.csv'}",
    "job add ropes strander --due 2026-06-10T16:00+01:00 --run-hours 14 --late-day 450 --lost-order 6000",
    'job want ropes "25 MFD" "440 VAC 60 CY" --title "run capacitor" --position "run capacitor"',
    'job want ropes "SIZE 2" "COIL 110 V 60 CY" --title contactor --position "main contactor" --hours 3',
)


def build(db: Path) -> Path:
    """The shop in a database at `db`."""
    for step in STEPS:
        ran = partsdb(step, db)
        assert ran.code == 0, (step, ran.err, ran.out)
    return db
