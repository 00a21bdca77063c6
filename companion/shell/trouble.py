"""Errors that are expected: one line on stderr and exit code 1, never a trace."""

from checklists import ChecklistError
from companion.shell.errors import CompanionError
from hardware import HardwareError
from speech import SpeechError

EXPECTED = (CompanionError, ChecklistError, HardwareError, SpeechError, OSError)
"""What a command may raise when something outside is wrong."""
