"""Conversions between the technician's units and the model's SI floats."""

ATMOSPHERE_PA = 101325.0  # the rig stands at sea level
PA_PER_PSI = 6894.757293168361
KG_PER_OZ = 0.028349523125
FT_PER_M = 1 / 0.3048
WATTS_PER_TON = 3516.8528  # 12 000 Btu/h


def k_from_f(f: float) -> float:
    """Turn a temperature in F into K."""
    return (f - 32) / 1.8 + 273.15


def f_from_k(k: float) -> float:
    """Turn a temperature in K into F."""
    return (k - 273.15) * 1.8 + 32


def psig_from_pa(pa: float) -> float:
    """Turn an absolute pressure in Pa into psi gauge at sea level."""
    return (pa - ATMOSPHERE_PA) / PA_PER_PSI
