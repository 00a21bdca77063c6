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


def _heard_as(key: str) -> set[str]:
    """Give what a key may have been said as: teens and tens sound alike (14 and 40)."""
    heard = set()
    for i in range(len(key) - 1):
        pair = key[i : i + 2]
        if pair[0] == "1" and pair[1] in "3456789":
            heard.add(f"{key[:i]}{pair[1]}0{key[i + 2 :]}")
        if pair[1] == "0" and pair[0] in "3456789":
            heard.add(f"{key[:i]}1{pair[0]}{key[i + 2 :]}")
    return heard


def _swapped(key: str) -> set[str]:
    """Give the keys with two neighbors changed about."""
    return {f"{key[:i]}{key[i + 1]}{key[i]}{key[i + 2 :]}" for i in range(len(key) - 1)}


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
        Those at most one character, one swap of neighbors or one teen for a ten away,
        and those that only add letters, without the name itself, in the order given.
        Empty if the text holds no letter or digit.
    """
    key = designation_key(text)
    if not key:
        return ()
    others = _heard_as(key) | _swapped(key)

    def like(other: str) -> bool:
        if other == key:
            return False
        lettered = other.startswith(key) and other[len(key) :].isalpha()
        return lettered or other in others or edits(key, other) <= MAX_EDITS

    return tuple(name for name in designations if like(designation_key(name)))
