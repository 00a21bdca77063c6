"""The catalogue's record of what the unit holds."""

from companion.job import read
from companion.job.know import Know
from companion.job.state import Job
from companion.knowledge.catalogue import Refrigerant


def unit_refrigerant(job: Job, know: Know) -> Refrigerant | None:
    """Give the catalogue's record of what the unit holds, once it was named."""
    designation = read.name(job, "unit-refrigerant")
    if designation is None:
        return None
    found = know.knowledge.catalogue.get(designation)
    return found if isinstance(found, Refrigerant) else None
