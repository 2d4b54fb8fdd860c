"""AC capacitors: motor run, motor start and power-factor correction.

Plates give microfarads (MFD, MF and µF all mean the same on old plates; start capacitors carry a range),
AC volts, cycles, and sometimes kvar, class, tolerance and temperature. Heat, over-voltage and age kill them;
they lose capacitance before they fail. The voltage on a run capacitor is higher than the supply, because the
auxiliary winding resonates with it: it must be measured or read off the plate, never guessed from the supply.

Sources: IEC 60252-1 and -2 (motor), IEC 60831-1 (correction), NEC 460.6 (discharge), 40 CFR 761.2 (PCB), with
their status in the tables beside this file.

    formulas  charge, current, discharge, series and parallel, life
    plates    what follows from a plate, and how well its values agree
    figures   what the texts name, and how long one lives
    banks     several acting as one
    limits    what the place asks of a replacement
"""

from __future__ import annotations

from partsdb.families.ac_capacitor import plates
from partsdb.families.ac_capacitor.banks import COMBINATIONS
from partsdb.families.ac_capacitor.figures import figures, life, size_text
from partsdb.families.ac_capacitor.limits import require
from partsdb.kit import family
from partsdb.model import Spec
from partsdb.quantities import show


def title_of(spec: Spec) -> str:
    """A short trade name: "25 µF 440 V AC run"."""
    rated, volts_dc, service = spec.first("voltage_ac"), spec.num("voltage_dc"), spec.code("service")
    words = [size_text(spec.first("capacitance"))]
    if rated is not None and rated.low is not None:
        words.append(f"{show(rated.low, 'V')} AC")
    elif volts_dc is not None:
        words.append(f"{show(volts_dc, 'V')} DC only")
    return " ".join([*words, service] if service else words)


FAMILY = family(
    __name__,
    require=require,
    title_of=title_of,
    figures=figures,
    consistency=plates.CONSISTENCY,
    derive=plates.follows,
    life=life,
    combinations=COMBINATIONS,
)
