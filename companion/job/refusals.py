"""A refusal to go on, with its reason in plain sentences."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Why something may not be done now, and what to do.

    Attributes
    ----------
    id
        Name of the refusal, for the record and for its sentence.
    missing
        For ``not-known``: what must be found out.
    reason
        Why, where the sentence cannot say it: in plain sentences.
    """

    id: str
    missing: str = ""
    reason: str = ""
