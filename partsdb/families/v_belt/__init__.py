"""V-belts: classical, cogged, narrow, wedge and light-duty, single or as a matched set.

The mark on a belt is its section and a number in that section's own length system: B68 is 68 inches inside, 5V800
80.0 inches outside, SPB 1250 is 1250 mm at the datum line, 17x1725 Li 1725 mm inside, 4L460 46.0 inches outside (and
no A44 for power). Worn belts are longer and narrower than their mark. Slack, oil, worn grooves, misalignment and
stalled starts kill them; belts of one drive share the load only as a matched set, so they are replaced together.

Sources: ANSI/RMA IP-20 and IP-22, ISO 4184, DIN 2215, DIN 7753, IS 3142 by way of the tables beside this file, each
with its status; geometry.py, sections.py and power.py for the formulas.
"""

from __future__ import annotations

from partsdb.families.v_belt import drives, limits, marks, sets
from partsdb.families.v_belt.cures import cures
from partsdb.kit import family

FAMILY = family(
    __name__,
    require=limits.require,
    title_of=marks.title_of,
    figures=drives.figures,
    derive=marks.derive,
    cures=cures,
    life=drives.life,
    combinations=(sets.MATCHED,),
    pieces=drives.pieces,
)
