"""How the technician's words reach the companion in a rehearsal."""

from typing import Protocol

from speech import Heard, Vocabulary

SECONDS_A_WORD = 0.4
"""How long a typed word would take to say."""


class Ear(Protocol):
    """Takes words as they are begun, gives back what was heard when it was."""

    def expect(self, vocabulary: Vocabulary) -> None:
        """Listen for this from now on."""

    def begin(self, at: float, words: str) -> float:
        """Begin to say words; give the moment they end."""

    def tick(self, at: float, *, talking: bool) -> list[tuple[float, Heard]]:
        """Let time run to ``at``; give what was heard, each with its moment.

        While the companion is ``talking`` its ear is closed.
        """

    def close(self) -> None:
        """Let go of devices and processes."""


class TypedEar:
    """Words arrive as typed lines: certain, and at once when they are said."""

    def __init__(self) -> None:
        self._waiting: list[tuple[float, str]] = []

    def expect(self, vocabulary: Vocabulary) -> None:
        """Do nothing: what is typed is understood or not."""

    def begin(self, at: float, words: str) -> float:
        """Take the words; they arrive when they would have been said."""
        end = at + SECONDS_A_WORD * len(words.split())
        self._waiting.append((end, words))
        return end

    def tick(self, at: float, *, talking: bool) -> list[tuple[float, Heard]]:  # noqa: ARG002
        """Give the lines that are complete by now."""
        done = [each for each in self._waiting if each[0] <= at]
        self._waiting = [each for each in self._waiting if each[0] > at]
        return [
            (
                end,
                Heard(
                    words=words,
                    confidence=1,
                    sure=True,
                    engine="typed",
                    begin=0,
                    end=0,
                ),
            )
            for end, words in done
        ]

    def close(self) -> None:
        """Do nothing."""
