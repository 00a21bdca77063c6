"""A refusal to go on, with its reason in plain sentences."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Why something may not be done now, and what to do.

    ``id`` names the refusal for the record.
    """

    id: str
    reason: str
