"""Ask the diagnosis what a round of readings says about the unit."""

from companion.job import read
from companion.job.know import Know
from companion.job.method import METERING, superheat_target
from companion.job.refrigerant import unit_refrigerant
from companion.job.state import Job
from companion.knowledge.diagnosis import diagnose
from companion.knowledge.findings import Finding, Readings
from companion.knowledge.properties import Subcooling, Superheat
from companion.knowledge.targets import target_subcooling


def find(
    job: Job, know: Know, sh: Superheat | None, sc: Subcooling | None
) -> Finding | None:
    """Give the finding, or None where a round has too few readings to find anything."""
    outdoor = read.temperature(job, "outdoor-temperature")
    metering = METERING.get(read.option(job, "metering") or "")
    if sh is None or sc is None or outdoor is None or metering is None:
        return None
    plate = read.difference(job, "target-subcooling")
    valve = metering != "fixed-orifice"
    refrigerant = unit_refrigerant(job, know)
    readings = Readings(
        metering=metering,
        superheat=sh,
        subcooling=sc,
        outdoor=outdoor,
        superheat_target=superheat_target(job, know),
        subcooling_target=(
            target_subcooling(know.knowledge.targets, plate) if valve else None
        ),
        glide=None if refrigerant is None else refrigerant.glide,
        return_wet_bulb=read.temperature(job, "return-wet-bulb"),
    )
    return diagnose(readings, know.knowledge.limits)
