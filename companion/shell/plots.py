"""Pictures of look-ups; the plotting library is imported only when one is asked for."""

from pathlib import Path
from typing import Any, get_args

from companion.knowledge.draw_down import DrawDown
from companion.knowledge.errors import CompanionError
from companion.knowledge.properties import Curve, OutsideTable, Properties, Substance
from companion.knowledge.quantities import (
    AbsolutePressure,
    Temperature,
)
from companion.shell.lookup_answer import LookupUsage

STEP_K = 1.0
SUFFIXES = (".png", ".svg", ".pdf")


class PlotError(CompanionError, RuntimeError):
    """A picture cannot be drawn."""


def plot_draw_down(designation: str, whole: DrawDown, path: Path) -> str:
    """Draw what leaves and what stays over the fraction drawn; give the path.

    Raises
    ------
    LookupUsage
        If the file's ending is no picture's.
    PlotError
        If the plotting library is missing.
    """
    figure = _figure(path)
    shares, pressure = figure.subplots(2, 1, sharex=True, height_ratios=(3, 1))
    fractions = [100 * point.fraction for point in whole.points]
    for i, name in enumerate(whole.filling.components):
        color = f"C{i}"
        leaving = [point.leaving[i] for point in whole.points]
        shares.plot(fractions, leaving, color=color, label=f"{name}, leaving")
        wet = [
            (100 * point.fraction, point.left_liquid[i])
            for point in whole.points
            if point.left_liquid is not None
        ]
        shares.plot(*zip(*wet, strict=True), color=color, linestyle="--")
        shares.axhline(whole.filling.mass_pct[i], color=color, linewidth=0.5)
    celsius = Temperature(whole.filling.t_k).c
    shares.set_title(f"{designation} drawn as {whole.draw} at {celsius:.0f} C")
    shares.set_ylabel("mass %; dashed: liquid left; thin: label")
    shares.legend()
    pressure.plot(fractions, [point.pressure_pa / 1000 for point in whole.points])
    pressure.set_ylabel("kPa absolute")
    pressure.set_xlabel("% of the filling drawn")
    figure.savefig(path)
    return str(path)


def plot_saturation(
    substance: Substance,
    properties: Properties,
    air: AbsolutePressure,
    marked: tuple[Temperature, AbsolutePressure] | None,
    path: Path,
) -> str:
    """Draw bubble and dew pressure over temperature; give the path.

    Raises as :func:`plot_draw_down` does.
    """
    figure = _figure(path)
    axes = figure.subplots()
    for curve in get_args(Curve):
        points = _curve(substance, properties, curve)
        fahrenheit = [at.f for at, _ in points]
        psig = [pressure.gauge(air).psi for _, pressure in points]
        axes.plot(fahrenheit, psig, label=curve)
    if marked is not None:
        at, pressure = marked
        axes.plot([at.f], [pressure.gauge(air).psi], "o", color="black")
    axes.set_title(f"{substance.designation}: dew for superheat, bubble for subcooling")
    axes.set_xlabel("F")
    axes.set_ylabel("psig")
    axes.grid(visible=True)
    axes.legend()
    figure.savefig(path)
    return str(path)


def _curve(
    substance: Substance, properties: Properties, curve: Curve
) -> list[tuple[Temperature, AbsolutePressure]]:
    points = []
    at = Temperature.from_c(-120)
    while at.c <= 120:
        found = properties.saturation_pressure(substance, curve, at)
        if not isinstance(found, OutsideTable):
            points.append((at, found))
        at = Temperature(at.k + STEP_K)
    return points


def _figure(path: Path) -> Any:
    if path.suffix.lower() not in SUFFIXES:
        raise LookupUsage(f"--plot: {path} must end in one of {', '.join(SUFFIXES)}")
    try:
        from matplotlib.figure import Figure
    except ImportError as error:
        raise PlotError(
            "--plot needs the package matplotlib, which is missing; install it, or "
            "leave --plot out"
        ) from error
    return Figure(figsize=(7, 6), layout="constrained")
