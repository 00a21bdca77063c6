"""What the engine may know: the tables of the trade and the checklists, nothing else."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from checklists.model import Checklist
from companion.job.dial import Scales
from companion.knowledge.loading import Knowledge


@dataclass(frozen=True, slots=True, kw_only=True)
class Know:
    """Everything ``decide`` may look up; read once at the start, never changed."""

    knowledge: Knowledge
    checklists: Mapping[str, Checklist]
    scales: Scales = field(default_factory=lambda: MappingProxyType({}))
