"""The way back from too much refrigerant: recover some, and never overfill a cylinder.

What may still go into a recovery cylinder is its largest fill (``cylinder``) less what
it holds; a cylinder of another refrigerant, or one past its retest date, takes nothing.

References
----------
Title 40 of the United States Code of Federal Regulations, section 82.154 (no venting);
Guideline K of the Air-Conditioning, Heating, and Refrigeration Institute (2004), as
reported by the trade press (fill); 2008 Reference Residential Appendix RA3.2 (waiting).
"""

from companion.knowledge.handling import Handling
from companion.knowledge.limits import Limits


def recovery_steps(limits: Limits, handling: Handling) -> tuple[str, ...]:
    """Give the steps from "too much" to a charge that can be judged again.

    Parameters
    ----------
    limits
        The wait before the readings that count is used.
    handling
        The fill rule of cylinders is used.
    """
    share = f"{handling.fill_share:.0%}".replace("%", " percent")
    warm = f"{handling.fill_reference.f:.0f} F"
    minutes = limits.settle_final.s / 60
    return (
        "add nothing more, and keep the hoses on",
        "take a recovery cylinder for this very refrigerant, in date; vent nothing",
        (
            f"put it on the scale: beside its tare it may hold {share} of its water "
            f"capacity times the liquid's gravity at {warm}, and no more"
        ),
        "recover a little at a time as liquid, and stop at that weight or sooner",
        f"let the unit run {minutes:.0f} minutes after each amount, then read again",
    )
