"""How much liquid one opening may bring: what the superheat can evaporate.

Liquid that reaches the suction line is evaporated by the superheat of the gas above
its floor. The vapor a unit draws, and so that power, grows with its size. The figures
are for 40 F saturated suction and 110 F condensing, computed from the saturation
tables for a unit of 3 tons and scaled by size.

What one opening brings must be gone before the next: the allowance is the flow that
the superheat evaporates over the opening and the settling after it.
"""

from companion.job.coach.priors import tons
from companion.job.know import Know
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job

_KG_S_TON_K = {
    "R-410A": 0.000123,
    "R-22": 0.000093,
    "R-134a": 0.000125,
    "R-32": 0.000061,
}
"""Liquid evaporated for each ton and each kelvin of superheat above the floor [kg/s]:
computed for 40 F suction, 110 F condensing, cylinder at 75 F."""
_OTHER = 0.0001
SHELL_KG_S_TON = 0.0006
"""What the compressor's shell evaporates besides, for each ton: some 11 % of the shaft
power. Own simulation."""


def most_kg(job: Job, know: Know, superheat_k: float, seconds: float) -> float:
    """Give the most one opening of so many seconds may bring [kg]."""
    limits = know.knowledge.limits
    refrigerant = unit_refrigerant(job, know)
    name = "" if refrigerant is None else refrigerant.designation
    above = max(0.0, superheat_k - limits.superheat_floor.k)
    flow = _KG_S_TON_K.get(name, _OTHER) * above + SHELL_KG_S_TON
    return flow * tons(job) * (seconds + limits.settle_far.s)
