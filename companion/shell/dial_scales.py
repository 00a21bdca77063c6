"""How numbers are dialled with the buttons, in the technician's units."""

from types import MappingProxyType

from companion.job.amounts import AmountKind
from companion.job.dial import Scale, Scales
from companion.shell.units import System, unit_of

# A tenth of a psi or a degree Fahrenheit is below what a gauge or clamp is good for;
# each place costs presses, so only as many are asked for as count.
_DECIMALS: dict[tuple[System, AmountKind], int] = {
    ("us", "gauge-pressure"): 0,
    ("us", "temperature"): 0,
    ("us", "temperature-difference"): 0,
    ("us", "mass"): 0,
    ("si", "gauge-pressure"): 1,
    ("si", "temperature"): 1,
    ("si", "temperature-difference"): 1,
    ("si", "mass"): 2,
}


def dial_scales() -> Scales:
    """Give the scale of each kind of number in each system of units."""
    return MappingProxyType(
        {
            (system, kind): Scale(
                make=unit_of(kind, system).make,
                read=unit_of(kind, system).read,
                decimals=decimals,
                unit=unit_of(kind, system).spoken,
            )
            for (system, kind), decimals in _DECIMALS.items()
        }
    )
