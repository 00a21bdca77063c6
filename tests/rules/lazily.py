"""Walk every path of a decision, by letting it ask for one input after another.

A decision that is a plain function of its inputs cannot depend on an input that it does
not read. So it is enough to try, for each input that it reads on the way, every value
that this input may have: the paths found are all combinations of all inputs, with those
left out that make no difference.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any


class Wanted(Exception):  # noqa: N818 - a message to the walk, not an error
    """An input is read that has no value on this path yet."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


class Inputs:
    """Inputs that have values as far as a path goes."""

    def __init__(self, path: Mapping[str, Any]) -> None:
        self._path = path

    def __getattr__(self, name: str) -> Any:
        if name not in self._path:
            raise Wanted(name)
        return self._path[name]


class Answers(Mapping[str, Any]):
    """The same as a mapping; None stands for a key that is not there."""

    def __init__(self, path: Mapping[str, Any]) -> None:
        self._path = path

    def __getitem__(self, key: str) -> Any:
        if key not in self._path:
            raise Wanted(key)
        if self._path[key] is None:
            raise KeyError(key)
        return self._path[key]

    def __iter__(self) -> Iterator[str]:
        return iter([key for key, value in self._path.items() if value is not None])

    def __len__(self) -> int:
        return len(list(iter(self)))


def every_path(
    decide: Callable[[Mapping[str, Any]], Any], values: Mapping[str, Sequence[Any]]
) -> Iterator[tuple[dict[str, Any], Any]]:
    """Give every path through a decision, with its outcome.

    A path holds only the inputs that the decision read.
    """
    waiting: list[dict[str, Any]] = [{}]
    while waiting:
        path = waiting.pop()
        try:
            outcome = decide(path)
        except Wanted as wanted:
            name = wanted.name
            waiting += [{**path, name: value} for value in values[name]]
        else:
            yield path, outcome
