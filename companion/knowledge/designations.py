"""Refrigerant designations as people write and say them, and which ones are alike."""

from collections.abc import Iterable

MAX_EDITS = 1
"""Two designations are alike when one slip of the tongue or pen separates them."""


def designation_key(text: str) -> str:
    """Give the part of a designation that tells it apart, for comparison only.

    Case, spaces, hyphens and parentheses do not matter, and neither does the leading
    R: ``R-407C``, ``r407c`` and ``407 c`` have the same key.
    """
    kept = "".join(ch for ch in text.upper() if ch.isalnum())
    return kept[1:] if kept.startswith("R") else kept


def edits(one: str, other: str) -> int:
    """Count the single-character edits from one word to another (Levenshtein)."""
    row = list(range(len(other) + 1))
    for i, left in enumerate(one, start=1):
        before, row = row, [i]
        for j, right in enumerate(other, start=1):
            swap = before[j - 1] + (left != right)
            row.append(min(swap, before[j] + 1, row[j - 1] + 1))
    return row[-1]


def alike(text: str, designations: Iterable[str]) -> tuple[str, ...]:
    """Find the designations that could be meant by a name or heard for it.

    Parameters
    ----------
    text
        A designation, known or not, in any spelling.
    designations
        Those to choose from, most used first.

    Returns
    -------
    tuple of str
        Those at most one character away, without the name itself, in the order
        given. Empty if the text holds no letter or digit.
    """
    key = designation_key(text)
    if not key:
        return ()
    return tuple(
        name
        for name in designations
        if 0 < edits(key, designation_key(name)) <= MAX_EDITS
    )
