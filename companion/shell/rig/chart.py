"""What the maker's chart of a rig would say, and running a rig in."""

from dataclasses import dataclass, replace

from companion.shell.rig.errors import RigError
from companion.shell.rig.rig import Rig
from companion.shell.rig.spec import RigSpec, Truth


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Steady superheat at the suction port and subcooling with the right charge [F]."""

    superheat_f: float
    subcooling_f: float


def chart(spec: RigSpec) -> Chart:
    """Run the unit of a spec, sound and rightly charged, in the spec's weather.

    Raises
    ------
    RigError
        If even the rightly charged unit trips in this weather.
    """
    sound = replace(spec, charge_fraction=1.0, running=True, faults=())
    truth = Rig(sound).truth()
    if truth.superheat_f is None or truth.subcooling_f is None:
        raise RigError(
            f"with the right charge this unit trips on {truth.trip} at "
            f"{spec.outdoor_f:.0f} F outdoors; choose milder weather"
        )
    return Chart(superheat_f=truth.superheat_f, subcooling_f=truth.subcooling_f)


def chart_superheat_f(spec: RigSpec) -> float:
    """Give the superheat the maker's chart names for this weather [F]."""
    return chart(spec).superheat_f


def chart_subcooling_f(spec: RigSpec) -> float:
    """Give the subcooling the maker's chart names for this weather [F]."""
    return chart(spec).subcooling_f


def steady(rig: Rig, seconds: float = 900.0) -> Truth:
    """Let a rig run undisturbed and tell what is so then.

    The 15 minutes are those that must pass before a charge is judged.

    References
    ----------
    California Energy Commission, Reference Residential Appendix RA3.2 (2008).
    """
    rig.advance(seconds)
    return rig.truth()
