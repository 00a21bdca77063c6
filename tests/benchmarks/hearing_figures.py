"""Shares with their bounds, for the hearing benchmarks."""

import math

_Z = 1.96  # 95 %


def between(count: float, of: int) -> tuple[float, float]:
    """Give the 95 % interval of a share (Wilson) [%]."""
    if not of:
        return 0.0, 100.0
    share = min(1.0, count / of)  # one reading may go wrong twice
    middle = share + _Z * _Z / (2 * of)
    spread = _Z * math.sqrt(share * (1 - share) / of + _Z * _Z / (4 * of * of))
    whole = 1 + _Z * _Z / of
    return 100 * max(0.0, middle - spread) / whole, 100 * (middle + spread) / whole


def upper(count: float, of: int) -> float:
    """Give the upper end of the 95 % interval of a share (Wilson) [%]."""
    return between(count, of)[1]


def rate(count: float, of: int) -> str:
    """Write a share with its upper bound."""
    share = 100 * count / of if of else 0.0
    return f"{share:5.1f} (<{upper(count, of):5.1f})"
