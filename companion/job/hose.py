"""What the charging hose holds: it goes into the unit after the scale has stopped.

A hose whose air was driven out with liquid is full when the scale is read first, and
is drawn down into the unit when it comes off. So that much less is let out of the
cylinder. A hose that was evacuated instead leaves the unit short by as much, one or two
ounces: the safe side, as with these hoses nothing can be taken back.
"""

from companion.job import read
from companion.job.know import Know
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job
from companion.knowledge.line_charge import tube_content
from companion.knowledge.quantities import M_PER_FT, Length, Mass

BORE = Length(0.25 * M_PER_FT / 12)
"""Inner diameter of a charging hose: a quarter inch. Common practice, no source."""
USUAL, LONG = Length(5 * M_PER_FT), Length(10 * M_PER_FT)
"""Length of a hose that is not longer than 5 ft, and of one that is. Our own values."""
_LIQUID_KG_M3 = {
    "R-22": 1195.0,
    "R-32": 966.0,
    "R-134a": 1211.0,
    "R-407C": 1142.0,
    "R-410A": 1064.0,
    "R-454B": 991.0,
}
"""Saturated liquid at 75 F [kg/m3], computed with the library the tables are built
with."""
_OTHER_KG_M3 = 1100.0


def content(job: Job, know: Know) -> Mass:
    """Give what the hose holds of liquid; nothing where it was not asked about.

    A length nobody knows is taken as the longer one: less goes in then.
    """
    answer = read.option(job, "long-hose")
    if answer is None:
        return Mass(0)
    refrigerant = unit_refrigerant(job, know)
    name = "" if refrigerant is None else refrigerant.designation
    length = USUAL if answer == "no" else LONG
    return tube_content(_LIQUID_KG_M3.get(name, _OTHER_KG_M3), BORE, length)
