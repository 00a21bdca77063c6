"""The program's own errors: each message says what, where, and what to do."""


class CompanionError(Exception):
    """Something outside is wrong and a person can mend it."""


class SettingsError(CompanionError, ValueError):
    """The settings file cannot be used."""
