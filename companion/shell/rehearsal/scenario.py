"""A rehearsal's scenario: the site, what the technician knows, and how they behave."""

import tomllib
from collections.abc import Mapping
from dataclasses import fields, replace
from importlib.resources import files
from typing import Annotated, Any, Literal, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError

from companion.shell.errors import CompanionError
from companion.shell.rig.errors import RigError
from companion.shell.rig.faults import Fault
from companion.shell.rig.spec import RigSpec


class ScenarioError(CompanionError, ValueError):
    """A scenario is not there or broken; the message says which and why."""


class _Unit(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    refrigerant: str
    metering: Literal["fixed-orifice", "thermostatic"]
    tons: float
    charge_fraction: float
    outdoor_f: float
    return_db_f: float
    return_wb_f: float
    running: bool
    superheat_at_full_f: float | None = None
    subcooling_at_full_f: float | None = None
    cylinder_net_kg: float = 6.0
    cylinder_tare_kg: float = 5.0
    cylinder_dip_tube: bool = False


class _Technician(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    voice: int = Field(default=0, ge=0)
    misreads: float = Field(default=0.0, ge=0, le=1)
    silent_at: tuple[str, ...] = Field(default=(), strict=False)


_FAULTS: dict[str, Fault] = {each().kind: each() for each in get_args(Fault)}
"""One of each fault, with its usual values, by kind."""


def read_faults(found: object) -> tuple[Fault, ...]:
    """Make the rig's faults from the tables of a scenario file.

    Raises
    ------
    ValueError
        If one is of no known kind, or has a value that this kind does not have.
    """
    if not isinstance(found, list):
        raise ValueError("write each fault as a [[faults]] table")  # noqa: TRY004 - for pydantic
    return tuple(_read_fault(each) for each in found)


def _read_fault(found: Mapping[str, object]) -> Fault:
    kind = str(found.get("kind"))
    usual = _FAULTS.get(kind)
    if usual is None:
        known = ", ".join(_FAULTS)
        raise ValueError(f"there is no fault {kind!r}; choose one of {known}")
    known_values = {each.name for each in fields(usual)} - {"kind"}
    numbers = {
        key: float(value)
        for key, value in found.items()
        if key in known_values and isinstance(value, int | float)
    }
    wrong = ", ".join(found.keys() - numbers.keys() - {"kind"})
    if wrong:
        listed = ", ".join(sorted(known_values))
        raise ValueError(f"{wrong} of fault {kind!r}: give numbers for {listed}")
    changes: dict[str, Any] = numbers
    return replace(usual, **changes)


class Scenario(BaseModel):
    """One scenario file.

    Attributes
    ----------
    purpose
        One sentence for the list of scenarios.
    noise_db
        Level of speech over the fan noise at the microphone [dB, A-weighted].
    unit, faults
        The simulated site.
    technician
        Voice, gross misreads, and the keys at which they fall silent once.
    answers
        What they answer by question key: an option, a designation or a number in
        ounces or Fahrenheit; readings come from the site itself.
    steps
        Answers to checklist steps that are not the good one at first.
    interjections
        Words said once, by key, before the question is answered.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    purpose: str
    noise_db: float = 15.0
    unit: _Unit
    faults: Annotated[tuple[Fault, ...], BeforeValidator(read_faults)] = ()
    technician: _Technician = _Technician()
    answers: dict[str, str | int | float]
    steps: dict[str, list[Literal["done", "yes", "no"]]] = Field(default_factory=dict)
    interjections: dict[str, str] = Field(default_factory=dict)

    def rig_spec(self, seed: int) -> RigSpec:
        """Give the site as the rig wants it.

        Raises
        ------
        ScenarioError
            If the rig refuses it.
        """
        try:
            return RigSpec(
                seed=seed,
                faults=self.faults,
                **self.unit.model_dump(),
            )
        except (RigError, TypeError) as trouble:
            raise ScenarioError(
                f"the scenario's site cannot be built: {trouble}"
            ) from trouble


_FOLDER = files("companion.shell") / "data" / "rehearsals"


def scenario_names() -> tuple[str, ...]:
    """Give the names of the shipped scenarios."""
    found = (each.name for each in _FOLDER.iterdir() if each.name.endswith(".toml"))
    return tuple(sorted(name.removesuffix(".toml") for name in found))


def read_scenario(name: str) -> Scenario:
    """Read a shipped scenario.

    Raises
    ------
    ScenarioError
        If there is none of that name, or its file is broken.
    """
    if name not in scenario_names():
        known = ", ".join(scenario_names())
        raise ScenarioError(f"there is no scenario {name!r}; choose one of {known}")
    text = (_FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    try:
        return Scenario.model_validate(tomllib.loads(text))
    except (tomllib.TOMLDecodeError, ValidationError) as trouble:
        raise ScenarioError(f"scenario {name}: {trouble}") from trouble
