"""What the sensor chain may be off, and what superheat and subcooling make of it.

    .venv/bin/python tests/benchmarks/error_budget.py

Nothing is drawn by chance. Computed by the program's own code: the chain's error bands
from ``hardware``, saturation from the shipped tables, superheat and subcooling from
``companion.knowledge``. The last column is the same case worked out separately with
another program of saturation (CoolProp 8.0.0 directly) and dividers of 5.1 k above 10 k,
clamps at 0.6 F calibrated, where there is one.
"""

from dataclasses import dataclass
from math import hypot

from companion.knowledge.properties import (
    OutsideTable,
    ReadingErrors,
    subcooling,
    superheat,
)
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    PressureDifference,
    Temperature,
    TemperatureDifference,
)
from companion.knowledge.readings import SEA_LEVEL
from companion.shell.knowledge_files import read_knowledge
from hardware.transducers import PressureCalibration, ThermistorCalibration
from hardware.uncertainty import (
    pressure_step,
    pressure_uncertainty,
    thermistor_uncertainty,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One chain on one circuit."""

    refrigerant: str
    side: str
    full_psi: float
    band: float
    bits: int
    clamp: str
    reference_f: float | None


CASES = (
    *(
        Case(
            refrigerant="R-410A",
            side="suction",
            full_psi=full,
            band=band,
            bits=12,
            clamp="calibrated",
            reference_f=reference,
        )
        for full, band, reference in (
            (200, 0.005, 0.74),
            (200, 0.01, 1.06),
            (500, 0.005, None),
            (500, 0.01, 2.28),
        )
    ),
    Case(
        refrigerant="R-410A",
        side="suction",
        full_psi=200,
        band=0.01,
        bits=12,
        clamp="bare",
        reference_f=2.40,
    ),
    Case(
        refrigerant="R-134a",
        side="suction",
        full_psi=200,
        band=0.01,
        bits=12,
        clamp="calibrated",
        reference_f=2.16,
    ),
    *(
        Case(
            refrigerant="R-410A",
            side="liquid",
            full_psi=full,
            band=0.01,
            bits=bits,
            clamp="calibrated",
            reference_f=None,
        )
        for full, bits in ((500, 12), (800, 12), (800, 10))
    ),
)
SHEET = ThermistorCalibration.from_beta(
    ohm_at_25_c=10_000, beta_k=3950, lowest_c=-30, highest_c=90
)


def main() -> None:
    """Print the table."""
    print(
        f"{'case':42} {'psi/count':>9} {'pressure':>10} {'clamp':>7} "
        f"{'result':>8} {'elsewhere':>9}"
    )
    for case in CASES:
        row(case)


def clamp(case: Case, celsius: float) -> float:
    """Give the clamp's error [K]."""
    if case.clamp == "bare":
        return hypot(thermistor_uncertainty(celsius, SHEET, case.bits), 2 / 1.8)
    points = [(c, SHEET.ohm(c)) for c in (0.0, 25.0, 60.0)]
    made = ThermistorCalibration.from_points(*points)
    return thermistor_uncertainty(celsius, made, case.bits)


def row(case: Case) -> None:
    """Print one case."""
    knowledge = read_knowledge()
    refrigerant = knowledge.catalogue.refrigerants
    substance = next(r for r in refrigerant if r.designation == case.refrigerant)
    suction = case.side == "suction"
    saturation = Temperature.from_f(40 if suction else 100)
    found = knowledge.properties.saturation_pressure(
        substance, "dew" if suction else "bubble", saturation
    )
    assert isinstance(found, AbsolutePressure)
    gauge = GaugePressure(found.pa - SEA_LEVEL.pa)
    line = Temperature.from_f(52 if suction else 90)
    calibration = PressureCalibration(
        full_scale_psi=case.full_psi, band_share=case.band
    )
    psi = pressure_uncertainty(gauge.psi, calibration, case.bits)
    line_k = clamp(case, line.c)
    errors = ReadingErrors(
        suction=PressureDifference.from_psi(psi),
        liquid=PressureDifference.from_psi(psi),
        line=TemperatureDifference(line_k),
    )
    work_out = superheat if suction else subcooling
    result = work_out(knowledge.properties, substance, gauge, line, SEA_LEVEL, errors)
    assert not isinstance(result, OutsideTable)
    name = (
        f"{case.refrigerant} {case.side} 0-{case.full_psi:g} psig {case.band:.1%} "
        f"{case.bits} bit {case.clamp}"
    )
    other = "-" if case.reference_f is None else f"{case.reference_f:.2f} F"
    print(
        f"{name:42} {pressure_step(calibration, case.bits):9.3f} {psi:6.2f} psi "
        f"{line_k * 1.8:5.2f} F {result.uncertainty.k * 1.8:6.2f} F {other:>9}"
    )


if __name__ == "__main__":
    main()
