"""What an engine's evidence is worth: measured weights, read from a data file.

For each engine the file says how much more often a value that was meant comes with so
many agreeing decodes than no value does, and which words are taken for others: a value
that holds such words has less weight, so it takes more to be believed and gets the
extra question. How it was measured stands in the file.
"""

import math
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

from speech.ports import Guess, SpeechFileError
from speech.words import tokens

FILE = "confusions.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """One engine's weights; natural logarithms.

    ``agreement`` is the weight of a value by the share of the evidence that points to
    it: one entry for each share, from the least to all of it. ``rest`` is the weight of
    "none of these" for one utterance, and ``words`` is added for each word of a value.
    """

    measured: str
    agreement: tuple[float, ...]
    rest: float
    words: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        numbers = (*self.agreement, self.rest, *self.words.values())
        if not self.agreement or not all(map(math.isfinite, numbers)):
            raise ValueError("weights must be finite numbers, at least one of them")

    def guess(self, words: str, share: float) -> Guess:
        """Give a guess with its weight.

        ``share`` is the part of the evidence that points to these words, above 0 and at
        most 1.
        """
        if not 0 < share <= 1:
            raise ValueError(f"the share must be above 0 and at most 1, not {share}")
        at = math.ceil(round(share * len(self.agreement), 6)) - 1
        weight = self.agreement[at] + self._of_words(tokens(words))
        return Guess(words=words, weight=round(weight, 3))

    def _of_words(self, said: Iterable[str]) -> float:
        return sum(self.words.get(word, 0.0) for word in said)


@cache
def shipped_calibration(engine: str) -> Calibration:
    """Read an engine's weights from the kit's own file.

    Raises
    ------
    SpeechFileError
        If the file is broken or does not know the engine.
    """
    text = (files("speech") / "data" / FILE).read_text(encoding="utf-8")
    try:
        table: dict[str, Any] = tomllib.loads(text)[engine]
        return Calibration(
            measured=str(table["measured"]),
            agreement=tuple(float(each) for each in table["agreement"]),
            rest=float(table["rest"]),
            words={str(k): float(v) for k, v in table.get("words", {}).items()},
        )
    except (KeyError, TypeError, ValueError) as problem:
        raise SpeechFileError(f"{FILE}: {engine}: {problem}") from problem
