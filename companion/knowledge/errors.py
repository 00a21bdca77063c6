"""The base of every exception that this program raises on its own account."""


class CompanionError(Exception):
    """Something is broken; the message says what, where, and what to do."""
