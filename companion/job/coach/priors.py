"""What is believed before anything was seen, and the coach's own settings.

The slopes come from our own simulation of a fleet of units (1.5 to 5 tons, six
refrigerants); nothing here was measured on a real machine. They are starting points:
the coach learns its unit, valve and hand from opening to opening.
"""

import math

from companion.job import read
from companion.job.coach.belief import Belief
from companion.job.state import Job

SLOPE_VALVE_K, SLOPE_ORIFICE_K = 0.60 / 1.8, 0.72 / 1.8
"""What 1 % of the charge changes: subcooling on a valve, superheat on an orifice [K].
Own simulation."""
SLOPE_SPREAD = 0.30
"""Spread between units [ln]. Own simulation."""
FLOW_LIQUID_KG_S, FLOW_VAPOR_KG_S, FLOW_RESTRICTOR_KG_S = 0.018, 0.004, 0.006
"""Flow through a cracked valve: liquid, vapor, and liquid through a restrictor.
Chosen; no source."""
FLOW_SPREAD = 0.60
"""Spread between hands and valves [ln]. Chosen."""
USUAL_CHARGE_KG = 3.3
"""A unit whose charge is not known is taken as one of 3 tons. Chosen."""
UNKNOWN_CHARGE_SPREAD = 0.40
"""Spread of the charge of a unit whose plate cannot be read [ln]. Chosen."""
KG_PER_TON = 1.08
"""Charge for each ton of cooling. Own simulation."""

READING_K = 1.2 / 1.8
"""Standard error of one superheat or subcooling from spoken readings [K]."""
REPEAT = 0.25
"""How well a hand repeats an opening, as a share of the dose."""
WIDER = 0.10
"""Doubt added after each opening: the hand and the unit drift [ln]."""
CLOSE_UP_ORIFICE, CLOSE_UP_VALVE = 0.80, 0.85
"""The share of what is missing that one opening aims at. Own simulation."""
SIGMAS, SIGMAS_FLAT = 1.0, 1.4
"""How pessimistic an opening is planned: spreads above the middle, and where a valve
hides what is missing."""
AIM_K = 0.2 / 1.8
"""Charging aims this much short: with these hoses nothing can be taken back."""
FLAT_K = 1.5 / 1.8
"""Subcooling below this says nothing about how much is missing on a valve unit."""

HINT_FACTOR = {"slow": 1.0, "same": 1.0, "less": 0.60, "more": 1.35, "double": 1.95}
"""What a hint does to the flow, about. Chosen."""
HINT_SPREAD = {"slow": 0.10, "same": 0.05, "less": 0.15, "more": 0.15, "double": 0.18}
"""And how surely [ln]. Chosen."""
EASED = 0.6
"""What "ease off" leaves of the flow. Chosen."""


def by_superheat(job: Job) -> bool:
    """Tell whether the superheat is the target."""
    return job.method is not None and job.method.stop_by == "superheat"


def close_up_share(job: Job) -> float:
    """Give the share of what is missing that one opening aims at."""
    return CLOSE_UP_ORIFICE if by_superheat(job) else CLOSE_UP_VALVE


def full_charge_kg(job: Job) -> float:
    """Give the unit's right charge as far as it is known [kg]."""
    plate = read.mass(job, "factory-charge")
    return USUAL_CHARGE_KG if plate is None else plate.kg


def tons(job: Job) -> float:
    """Give the unit's size in tons of cooling, from its charge."""
    return full_charge_kg(job) / KG_PER_TON


def slope_k_per_kg(job: Job) -> float:
    """Give what a kilogram changes in the target reading [K/kg]."""
    per_percent = SLOPE_ORIFICE_K if by_superheat(job) else SLOPE_VALVE_K
    return per_percent * 100 / full_charge_kg(job)


def flow_kg_s(job: Job) -> float:
    """Give the flow expected of a first opening [kg/s]."""
    match job.method.method if job.method is not None else "":
        case "vapor":
            return FLOW_VAPOR_KG_S
        case "liquid-restrictor":
            return FLOW_RESTRICTOR_KG_S
        case _:
            return FLOW_LIQUID_KG_S


def first_rate(job: Job) -> Belief:
    """Give the belief about kelvin per second of open valve before any opening."""
    spread = math.hypot(SLOPE_SPREAD, FLOW_SPREAD)
    if read.mass(job, "factory-charge") is None:
        spread = math.hypot(spread, UNKNOWN_CHARGE_SPREAD)
    rate = slope_k_per_kg(job) * flow_kg_s(job)
    return Belief(mean=math.log(rate), spread=spread)
