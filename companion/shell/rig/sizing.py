"""Size a unit backwards, so that the right charge gives the wanted readings.

At the rating point every temperature and flow is known. From them follow the sizes
that would produce them: compressor displacement, metering area, coil and condenser
strengths, and at last the condenser's volume, which takes up what is left of the
charge. Run at the rating point with 100 % charge, the plant then rests exactly there.
"""

import math
from dataclasses import dataclass

from companion.shell.rig.design import (
    AIR_CP,
    DESUPERHEATING,
    GLIDE_SHARE,
    LINE_COOLER_K,
    SHELL_SHARE,
    WET_AIR_CP,
    CoilSize,
    CondenserSize,
    Design,
    MeteringSize,
    Rating,
    SuctionSize,
    boiling_k,
    compression_work,
    driving_drop_pa,
    fill_share,
    gas_density,
)
from companion.shell.rig.errors import RigError
from companion.shell.rig.spec import RigSpec
from companion.shell.rig.tables import Saturation, Table, table_of
from companion.shell.rig.traits import Traits, draw_traits
from companion.shell.rig.units import WATTS_PER_TON, k_from_f

_KG_S_PER_CFM = 0.000471947 * 1.2
_BEST_COIL = 0.97  # no coil brings its air closer to the wall
_LEAST_FLOODED = 0.3
_LEAST_WALL_K = 0.5
_INCLUDED_LINE_M = 7.5  # longer lines take charge of their own


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """The refrigerant's state all round the circuit at the rating point."""

    low: Saturation
    high: Saturation
    liquid: Saturation
    out_k: float
    port_k: float
    flow_kg_s: float
    quality_in: float


def liquid_line_m2(tons: float) -> float:
    """Give the bore of the liquid line [m2]: a 3/8 inch tube at three ton."""
    return 0.049e-3 * math.sqrt(tons / 3.0)


def rating_of(spec: RigSpec, traits: Traits) -> Rating:
    """Choose the rating point: 95 F and 80/67 F, or the unit's own weather."""
    own = spec.superheat_at_full_f is not None or spec.subcooling_at_full_f is not None
    weather = (spec.outdoor_f, spec.return_db_f, spec.return_wb_f)
    outdoor, db, wb = weather if own else (95.0, 80.0, 67.0)
    superheat, subcooling = traits.superheat_f, traits.subcooling_f
    if spec.superheat_at_full_f is not None:
        superheat = spec.superheat_at_full_f
    if spec.subcooling_at_full_f is not None:
        subcooling = spec.subcooling_at_full_f
    # A tight approach would leave no room for the subcooling asked for.
    approach = max(traits.approach_f, subcooling + 5.0)
    # Moist air warms the coil; a coil starved to a high superheat runs colder.
    coil_f = traits.coil_f + 0.7 * (wb - 67.0) - 0.6 * max(superheat - 14.0, 0.0)
    return Rating(
        outdoor_k=k_from_f(outdoor),
        db_k=k_from_f(db),
        wb_k=k_from_f(wb),
        coil_k=k_from_f(coil_f),
        condensing_k=k_from_f(outdoor + approach),
        superheat_k=superheat / 1.8,
        subcooling_k=subcooling / 1.8,
    )


def _point(table: Table, rating: Rating, traits: Traits, cooling_w: float) -> Point:
    low = table.at_middle(rating.coil_k)
    glide_k = low.t_dew_k - low.t_bub_k
    low = table.at_middle(rating.coil_k - (0.5 - GLIDE_SHARE) * glide_k)
    high = table.at_middle(rating.condensing_k)
    liquid = table.at_bubble(high.t_bub_k - rating.subcooling_k)
    port_k = low.t_dew_k + rating.superheat_k
    line_air_k = rating.outdoor_k - LINE_COOLER_K
    gain_k = (line_air_k - port_k) * math.expm1(traits.line_ntu)
    # The line may not make most of the superheat, or none is left for the coil.
    out_k = port_k - min(max(gain_k, 0.0), 0.35 * rating.superheat_k)
    out_h = low.h_v + low.cp_v * (out_k - low.t_dew_k)
    return Point(
        low=low,
        high=high,
        liquid=liquid,
        out_k=out_k,
        port_k=port_k,
        flow_kg_s=cooling_w / (out_h - liquid.h_l),
        quality_in=(liquid.h_l - low.h_l) / (low.h_v - low.h_l),
    )


def _flooded_share(point: Point, rating: Rating, ntu: float) -> float:
    reach = (point.out_k - point.low.t_dew_k) / (rating.db_k - point.low.t_dew_k)
    share = 1 + math.log(1 - reach) / ntu if reach < 1 else 0.0
    if share < _LEAST_FLOODED:
        raise RigError(
            f"a superheat of {rating.superheat_k * 1.8:.0f} F cannot be had with return "
            f"air {(rating.db_k - point.low.t_dew_k) * 1.8:.0f} F above the dew point; "
            "ask for less superheat or warmer return air"
        )
    return share


def _size_coil(
    point: Point, rating: Rating, traits: Traits, tons: float, slow: float
) -> CoilSize:
    low = point.low
    share = _flooded_share(point, rating, traits.dry_coil_ntu)
    boil_w = (1 - point.quality_in) * point.flow_kg_s * (low.h_v - low.h_l) / share
    coil_k = boiling_k(low)
    air_kg_s = traits.cfm_per_ton * tons * _KG_S_PER_CFM
    reach_k = 0.65 * (rating.wb_k - coil_k)
    best = min(boil_w / (air_kg_s * WET_AIR_CP * reach_k), _BEST_COIL)
    wall_k = rating.wb_k - boil_w / (best * air_kg_s * WET_AIR_CP)
    if wall_k - coil_k < _LEAST_WALL_K:
        raise RigError(
            f"{tons} ton cannot be had from return air of "
            f"{rating.wb_k * 1.8 - 459.67:.0f} F wet bulb at this superheat; "
            "ask for less superheat or moister return air"
        )
    coil_kg = traits.coil_liquid_share * traits.charge_kg_per_ton * tons
    return CoilSize(
        full_kg=coil_kg / share,
        share=share,
        wall_k=wall_k,
        wall_ua=boil_w / (wall_k - coil_k),
        wall_j_k=4000.0 * tons * slow,
        air_wet_w_k=best * air_kg_s * WET_AIR_CP,
        air_dry_w_k=best * air_kg_s * AIR_CP,
        dry_ntu=traits.dry_coil_ntu,
        superheat_k=point.out_k - low.t_dew_k,
    )


def _size_suction(
    point: Point, rating: Rating, traits: Traits, tons: float
) -> SuctionSize:
    line_air_k = rating.outdoor_k - LINE_COOLER_K
    left = (line_air_k - point.port_k) / (line_air_k - point.out_k)
    ntu = -math.log(left) if 0 < left < 1 else 0.0
    rho = gas_density(point.low, point.port_k)
    fill = fill_share(point.low.p_pa, point.high.p_pa)
    return SuctionSize(
        vapor_m3=tons * (1.6e-3 + 0.08e-3 * traits.line_m),
        line_ua=ntu * point.flow_kg_s * point.low.cp_v,
        displacement_m3_s=point.flow_kg_s / (rho * fill),
    )


def _size_condenser(
    point: Point, rating: Rating, traits: Traits, spec: RigSpec, high_kg: float
) -> CondenserSize:
    low, high, tons = point.low, point.high, spec.tons
    liquid_line_m3 = liquid_line_m2(tons) * traits.line_m + 0.05e-3 * tons
    discharge_m3 = 0.3e-3 * tons
    tubes_kg = high_kg - liquid_line_m3 * point.liquid.rho_l - discharge_m3 * high.rho_v
    share = traits.subcooled_share
    mean_rho = (
        (1 - DESUPERHEATING - share) * high.rho_2ph
        + DESUPERHEATING * high.rho_v
        + share * (high.rho_l + point.liquid.rho_l) / 2
    )
    work = compression_work(low, point.port_k, high.p_pa) / traits.isentropic
    gas_h = low.h_v + low.cp_v * (point.port_k - low.t_dew_k)
    reject_w = point.flow_kg_s * (gas_h + (1 - SHELL_SHARE) * work - point.liquid.h_l)
    reach = rating.subcooling_k / (high.t_bub_k - rating.outdoor_k)
    return CondenserSize(
        tubes_m3=tubes_kg / mean_rho,
        liquid_line_m3=liquid_line_m3,
        discharge_m3=discharge_m3,
        ua=reject_w / (rating.condensing_k - rating.outdoor_k),
        wall_j_k=6000.0 * tons * spec.slow,
        subcooler_ntu=-math.log(1 - reach) / share,
        subcooled_share=share,
    )


def _size_metering(
    point: Point, traits: Traits, coil: CoilSize, *, thermostatic: bool
) -> MeteringSize:
    flash_pa = traits.flash_factor * point.liquid.p_pa
    drop_pa = driving_drop_pa(point.high.p_pa, point.low.p_pa, flash_pa)
    return MeteringSize(
        area_m2=point.flow_kg_s / math.sqrt(2 * point.liquid.rho_l * drop_pa),
        thermostatic=thermostatic,
        static_k=coil.superheat_k - traits.valve_stroke * traits.valve_range_k,
    )


def size(spec: RigSpec) -> Design:
    """Size the unit a spec describes.

    Raises
    ------
    RigError
        If the wanted superheat cannot be reached in the rating weather.
    """
    table = table_of(spec.refrigerant)
    thermostatic = spec.metering == "thermostatic"
    traits = draw_traits(spec.seed, spec.refrigerant, thermostatic=thermostatic)
    rating = rating_of(spec, traits)
    cooling_w = spec.tons * WATTS_PER_TON
    point = _point(table, rating, traits, cooling_w)
    coil = _size_coil(point, rating, traits, spec.tons, spec.slow)
    suction = _size_suction(point, rating, traits, spec.tons)
    long_m = max(traits.line_m - _INCLUDED_LINE_M, 0.0)
    line_kg = long_m * liquid_line_m2(spec.tons) * point.liquid.rho_l
    charge_kg = traits.charge_kg_per_ton * spec.tons + line_kg
    low_kg = coil.share * coil.full_kg + suction.vapor_m3 * point.low.rho_v
    condenser = _size_condenser(point, rating, traits, spec, charge_kg - low_kg)
    return Design(
        table=table,
        traits=traits,
        rating=rating,
        slow=spec.slow,
        charge_kg=charge_kg,
        flow_kg_s=point.flow_kg_s,
        cooling_w=cooling_w,
        coil=coil,
        suction=suction,
        condenser=condenser,
        metering=_size_metering(point, traits, coil, thermostatic=thermostatic),
    )
