"""The shell's own errors: each message says what, where, and what to do."""

from companion.knowledge.errors import CompanionError

__all__ = ["CompanionError", "SettingsError"]


class SettingsError(CompanionError, ValueError):
    """The settings file cannot be used."""
