"""What the rig raises when it is asked for something it cannot do."""

from companion.knowledge.errors import CompanionError


class RigError(CompanionError, ValueError):
    """A rig was asked for something it has no model for."""


class OutOfTable(RigError):  # noqa: N818  it names the fact, not the mishap
    """A state left the property table; the rig never extrapolates."""

    def __init__(self, what: str, value: float, low: float, high: float) -> None:
        super().__init__(
            f"{what} is {value:.6g}, outside the table's {low:.6g} to {high:.6g}; "
            "stop the unit before it gets there"
        )
