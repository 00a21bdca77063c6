"""The method the coach is measured against: open, close after 15 s, wait 60 s, believe.

It opens by the word alone, believes every reading, and stops when the target is
reached. Same rigs, same hands, same readers.
"""

from coached_site import Crew, Result, know_and_wording

from companion.knowledge.properties import OutsideTable
from companion.knowledge.quantities import (
    GaugePressure,
    Length,
    Temperature,
    standard_atmosphere,
)
from companion.shell.rig.chart import chart
from companion.shell.rig.hand import Hand
from companion.shell.rig.readings import Reader
from companion.shell.rig.rig import Rig
from companion.shell.rig.spec import RigSpec

OPEN_S, WAIT_S, MOST = 15.0, 60.0, 25
AIR = standard_atmosphere(Length(0))


def naive(spec: RigSpec, crew: Crew) -> Result:  # noqa: C901 - one job, told in order
    """Play one job by the naive method."""
    know, _ = know_and_wording()
    rig, plate = Rig(spec), chart(spec)
    rig.place_cylinder(not spec.cylinder_dip_tube)
    hand = Hand(seed=spec.seed, habits=crew.habits)
    reader = Reader(seed=spec.seed, misreads=crew.misreads, lost=crew.lost)
    refrigerant = know.knowledge.catalogue.get(spec.refrigerant)
    orifice = spec.metering == "fixed-orifice"

    def short_f() -> float:
        gauges = rig.gauges()
        pressure, line = (
            (gauges.suction_psig, gauges.suction_line_f)
            if orifice
            else (gauges.liquid_psig, gauges.liquid_line_f)
        )
        other = gauges.liquid_psig if orifice else gauges.suction_psig
        said = reader.reading(pressure, item="p", other=other).said
        rig.advance(reader.answer_s(first=True))
        line_said = reader.reading(line, item="t").said
        rig.advance(reader.answer_s(first=False))
        found = know.knowledge.properties.saturation_temperature(
            refrigerant,
            "dew" if orifice else "bubble",
            GaugePressure.from_psi(max(said, -14)).absolute(AIR),
        )
        if isinstance(found, OutsideTable):
            return 1.0
        apart = (Temperature.from_f(line_said) - found).f
        if orifice:
            return apart - round(plate.superheat_f)
        return round(plate.subcooling_f) + apart

    def opening() -> None:
        hand.open("crack", rig.now)
        begin, closing = rig.now, False
        while True:
            rig.advance(0.1)
            level = hand.opening(rig.now, rig.gauges().suction_psig)
            rig.turn_valve(level)
            if not closing and rig.now >= begin + OPEN_S:
                hand.close(rig.now)
                closing = True
            if closing and level == 0:
                return

    count = 0
    while short_f() > 0 and count < MOST:
        opening()
        count += 1
        rig.advance(WAIT_S)
    truth = rig.truth()
    openings = rig.openings
    return Result(
        seed=spec.seed,
        metering=spec.metering,
        tons=spec.tons,
        refrigerant=spec.refrigerant,
        start_pct=100 * (spec.charge_fraction - 1),
        error_pct=100 * (truth.charge_kg / truth.full_charge_kg - 1),
        fed_pct=100 * truth.fed_kg / truth.full_charge_kg,
        outcome="target",
        superheat_off_f=(truth.superheat_f or 0) - plate.superheat_f,
        subcooling_off_f=(truth.subcooling_f or 0) - plate.subcooling_f,
        peaks_psi=[each.peak_rise_psi for each in openings],
        open_s=[(each.end_s or rig.now) - each.start_s for each in openings],
        wettest=[each.wettest for each in openings],
        slugging=truth.slugging_index,
        minutes=rig.now / 60,
        minutes_to_target=rig.now / 60,
        prompted=False,
        close_late_s=[],
        repeat_gaps_s=[],
        unclosed=0,
    )
