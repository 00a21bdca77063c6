"""Sound cards by name: their numbers change with the port and at every start.

A name in the settings is a part of a card's id or name, in any case; one that is a
device of ALSA already, such as ``plughw:CARD=Headset`` or ``default``, is left alone.
Where the named card is not there but another is, that one is taken: an ear and a voice
count for more than which ones.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

CARDS = Path("/proc/asound")
Direction = Literal["input", "output"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One sound card: its id for ALSA, and its name for people."""

    id: str
    name: str

    @property
    def device(self) -> str:
        """The device that resamples to what we ask for."""
        return f"plughw:CARD={self.id}"


def list_cards(direction: Direction, root: Path = CARDS) -> tuple[Card, ...]:
    """Give the cards that can record or play, in the system's order."""
    mark = "c" if direction == "input" else "p"
    found = []
    for number, ident, name in _listed(root):
        if any((root / f"card{number}").glob(f"pcm*{mark}")):
            found.append(Card(id=ident, name=name))
    return tuple(found)


def _listed(root: Path) -> list[tuple[int, str, str]]:
    """Read the kernel's list: number, id in brackets, and name after the dash."""
    try:
        lines = (root / "cards").read_text(encoding="utf-8").splitlines()
    except OSError:
        return []
    found = []
    for line in lines:
        head, bracket, rest = line.partition("[")
        ident, _, name = rest.partition("]")
        if bracket and head.strip().isdigit():
            found.append(
                (int(head), ident.strip(), name.partition(" - ")[2].strip() or ident)
            )
    return found


def choose_device(
    name: str, direction: Direction, root: Path = CARDS
) -> tuple[str, str]:
    """Give the ALSA device for a name, and a note where it is not the one named.

    An empty device is the system's default.
    """
    if not name or ":" in name or name == "default":
        return name, ""
    there = list_cards(direction, root)
    wanted = name.casefold()
    for card in there:
        if wanted in card.id.casefold() or wanted in card.name.casefold():
            return card.device, ""
    if not there:
        return "", f"no card for sound {direction} is there, also none named {name!r}"
    listed = ", ".join(card.name for card in there)
    return (
        there[0].device,
        f"no card named {name!r} is there ({listed}); {there[0].name} is used",
    )
