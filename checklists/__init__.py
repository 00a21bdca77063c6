"""Kit: checklists as data, and a pure walk through them."""

from checklists.loader import ChecklistFault, ChecklistFilesError, Checklists, load_all
from checklists.model import (
    CERTAINTIES,
    CONTEXT,
    AskStep,
    Checklist,
    ChecklistError,
    DoStep,
    Step,
    certainty,
    expired,
)
from checklists.translations import load_translated
from checklists.walk import (
    Answer,
    Fix,
    Judgement,
    NotAnAnswer,
    Noted,
    Passed,
    Stop,
    Walk,
    judge,
    steps_for,
)

__all__ = [
    "CERTAINTIES",
    "CONTEXT",
    "Answer",
    "AskStep",
    "Checklist",
    "ChecklistError",
    "ChecklistFault",
    "ChecklistFilesError",
    "Checklists",
    "DoStep",
    "Fix",
    "Judgement",
    "NotAnAnswer",
    "Noted",
    "Passed",
    "Step",
    "Stop",
    "Walk",
    "certainty",
    "expired",
    "judge",
    "load_all",
    "load_translated",
    "steps_for",
]
