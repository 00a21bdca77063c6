"""What every look-up has in common: its answer and its refusals.

A value of the wrong kind, such as a temperature where a pressure is due, is wrong usage;
a right question without an answer, such as a pressure outside every table, is a refusal.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from companion.knowledge.catalogue import Refrigerant, Unsupported
from companion.knowledge.errors import CompanionError
from companion.knowledge.loading import Knowledge
from companion.knowledge.properties import Substance
from companion.knowledge.tables import Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The answer of a look-up: for machines, and as a few plain sentences."""

    json: Mapping[str, Any]
    text: str


class LookupRefusal(CompanionError):  # noqa: N818 - expected, not an error
    """A question that has no answer, and what to do instead; exit code 1."""

    def __init__(
        self, kind: str, message: str, more: Mapping[str, Any] | None = None
    ) -> None:
        self.kind = kind
        self.message = message
        self.more = dict(more or {})
        super().__init__(message)

    @property
    def json(self) -> dict[str, Any]:
        """The refusal as the look-ups print it."""
        return {"refusal": {"kind": self.kind, "message": self.message}, **self.more}


class LookupUsage(CompanionError, ValueError):  # noqa: N818 - as above
    """An argument of the wrong kind; exit code 2."""


def find_refrigerant(knowledge: Knowledge, designation: str) -> Refrigerant:
    """Give a supported refrigerant.

    Raises
    ------
    LookupRefusal
        If it is not known, not supported or out of scope.
    """
    found = knowledge.catalogue.get(designation)
    if isinstance(found, Refrigerant):
        return found
    raise LookupRefusal(found.kind, found.reason)


def find_substance(knowledge: Knowledge, designation: str) -> Substance:
    """Give what has a saturation table: also a rare single substance.

    Raises
    ------
    LookupRefusal
        If it is not known, has no table or is out of scope.
    """
    found = knowledge.catalogue.get(designation)
    if isinstance(found, Unsupported) and found.fluid is not None:
        return found.fluid
    return find_refrigerant(knowledge, designation)


def source_text(knowledge: Knowledge, citation: Citation) -> str:
    """Give a citation in full: the reference, the place in it, and the mark."""
    reference = knowledge.sources[citation.source].reference.rstrip(".")
    return f"{reference}: {citation.at} [{citation.mark}]"


def shown(value: float) -> float:
    """Round a number for an answer: nothing measured needs more digits."""
    return round(value, 4)
