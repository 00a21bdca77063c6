"""The sizes of one unit and the laws of refrigerant that sizing and running share.

SI units: m3, W/K, J/K, m2, kg, K.
"""

import math
from dataclasses import dataclass

from companion.shell.rig.tables import Saturation, Table
from companion.shell.rig.traits import Traits

AIR_CP = 1010.0  # J/kgK
# Slope of saturated-air enthalpy near coil temperature, as a specific heat against
# the wet bulb [J/kgK]: the fictitious-fluid form of a wet coil.
WET_AIR_CP = 2780.0
CLEARANCE = 0.022  # volumetric loss per unit of pressure ratio, chosen
DESUPERHEATING = 0.12  # share of the condenser that only cools gas, chosen
GLIDE_SHARE = 0.4  # the boiling mean lies this share of the glide under the dew point
LINE_COOLER_K = 4.0  # the suction line sees air this much cooler than outdoors
SHELL_SHARE = 0.11  # share of the shaft power that warms the compressor's shell


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """The point a unit is sized at: temperatures in K, differences in K."""

    outdoor_k: float
    db_k: float
    wb_k: float
    coil_k: float
    condensing_k: float
    superheat_k: float
    subcooling_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilSize:
    """The indoor coil; ``full_kg`` is its liquid when flooded to the outlet."""

    full_kg: float
    share: float
    wall_k: float
    wall_ua: float
    wall_j_k: float
    air_wet_w_k: float
    air_dry_w_k: float
    dry_ntu: float
    superheat_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SuctionSize:
    """Suction line and compressor; ``vapor_m3`` is all vapor space of the low side."""

    vapor_m3: float
    line_ua: float
    displacement_m3_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CondenserSize:
    """Condenser, liquid line and discharge line."""

    tubes_m3: float
    liquid_line_m3: float
    discharge_m3: float
    ua: float
    wall_j_k: float
    subcooler_ntu: float
    subcooled_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeteringSize:
    """Orifice or valve; ``area_m2`` passes the nominal flow at the rating point."""

    area_m2: float
    thermostatic: bool
    static_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """One sized unit."""

    table: Table
    traits: Traits
    rating: Rating
    slow: float
    charge_kg: float
    flow_kg_s: float
    cooling_w: float
    coil: CoilSize
    suction: SuctionSize
    condenser: CondenserSize
    metering: MeteringSize


def boiling_k(low: Saturation) -> float:
    """Give the mean boiling temperature [K] at a suction state."""
    return low.t_dew_k - GLIDE_SHARE * (low.t_dew_k - low.t_bub_k)


def gas_density(low: Saturation, gas_k: float) -> float:
    """Give the density of suction gas at ``gas_k``, at or above the dew point."""
    return low.rho_v * math.pow(low.t_dew_k / gas_k, low.n)


def compression_work(low: Saturation, gas_k: float, p_out_pa: float) -> float:
    """Give the isentropic work on a kilogram of suction gas at ``gas_k`` [J/kg]."""
    power = (low.k - 1) / low.k
    ratio = math.pow(max(p_out_pa, low.p_pa) / low.p_pa, power)
    return low.p_pa / gas_density(low, gas_k) / power * (ratio - 1)


def fill_share(p_in_pa: float, p_out_pa: float) -> float:
    """Give the share of the displacement that takes in fresh gas (0 to 1)."""
    return max(1 - CLEARANCE * p_out_pa / p_in_pa, 0.0)


def driving_drop_pa(p_in_pa: float, p_out_pa: float, flash_pa: float) -> float:
    """Give the pressure drop that drives an expansion [Pa]; flashing chokes it."""
    return max(p_in_pa - max(p_out_pa, flash_pa), 0.0)
