"""Checklists in another language: the same steps, with their sentences translated.

A translation is a file per list in a folder named after the language. It names the
revision it was made from: one made from another revision is refused, because a step
whose meaning has changed must not go on being spoken as it was.
"""

import re
import tomllib
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from pydantic import BaseModel, ConfigDict, PositiveInt, ValidationError

from checklists.loader import ChecklistFault, ChecklistFilesError, Checklists, load_all
from checklists.model import Checklist, DoStep, Step

MOST_WORDS = 30
"""The longest translated sentence, in words; Spanish takes more of them."""

_SPEAKABLE = re.compile(r"[^\W_][\w ,'-]*")
_TEXTS = ("caution", "say", "why", "remedy")


class _Texts(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    say: str
    why: str
    caution: str | None = None
    remedy: str | None = None


class _Translation(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    id: str
    revision: PositiveInt
    purpose: str
    steps: dict[str, _Texts]


def load_translated(
    language: str,
    lists: Checklists | None = None,
    folder: Path | Traversable | None = None,
) -> Checklists:
    """Give the checklists in a language; English ones as they are.

    Raises
    ------
    ChecklistFilesError
        If a list or step is not translated, a translation was made from another
        revision, or a sentence cannot be spoken; it carries every fault.
    """
    english = load_all() if lists is None else lists
    if language == "en":
        return english
    place = files("checklists") / "data" / language if folder is None else folder
    found: list[Checklist] = []
    faults: list[ChecklistFault] = []
    for one in english:
        file = f"{language}/{one.id}.toml"
        read = _read(place / f"{one.id}.toml", file)
        if isinstance(read, ChecklistFault):
            faults.append(read)
            continue
        wrong = _faults(one, read, file)
        faults += wrong
        if not wrong:
            found.append(_translated(one, read))
    if faults:
        raise ChecklistFilesError(tuple(faults))
    return Checklists(lists=tuple(found))


def _read(path: Traversable, file: str) -> _Translation | ChecklistFault:
    if not path.is_file():
        return ChecklistFault(file=file, step=None, message="is missing")
    try:
        return _Translation.model_validate(
            tomllib.loads(path.read_text(encoding="utf-8"))
        )
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        return ChecklistFault(file=file, step=None, message=f"not TOML: {problem}")
    except ValidationError as problem:
        told = "; ".join(
            f"{'.'.join(map(str, fault['loc']))}: {fault['msg']}"
            for fault in problem.errors()
        )
        return ChecklistFault(file=file, step=None, message=told)


def _faults(english: Checklist, other: _Translation, file: str) -> list[ChecklistFault]:
    def fault(step: str | None, message: str) -> ChecklistFault:
        return ChecklistFault(file=file, step=step, message=message)

    found: list[ChecklistFault] = []
    if other.revision != english.revision:
        found.append(
            fault(
                None,
                f"revision: was made from revision {other.revision}, but the list is at "
                f"{english.revision}; translate what changed, then raise it",
            )
        )
    ids = [step.id for step in english.steps]
    found += [fault(each, "no such step") for each in other.steps if each not in ids]
    for step in english.steps:
        texts = other.steps.get(step.id)
        if texts is None:
            found.append(fault(step.id, f"is missing; in English: {step.say!r}"))
            continue
        found += [fault(step.id, each) for each in _text_faults(step, texts)]
    return found


def _text_faults(step: Step, texts: _Texts) -> list[str]:
    found: list[str] = []
    for name in _TEXTS:
        was, now = getattr(step, name, None), getattr(texts, name)
        if (was is None) != (now is None):
            found.append(f"{name}: is {'missing' if now is None else 'not in English'}")
        elif now is not None:
            question = name == "say" and not isinstance(step, DoStep)
            wrong = _sentence_fault(now, "?" if question else ".")
            found += [f"{name}: {wrong}"] if wrong else []
    return found


def _sentence_fault(sentence: str, mark: str) -> str:
    if not sentence.endswith(mark):
        return f"must end with '{mark}'"
    if ("¿" in sentence) != (mark == "?"):
        return "a question, and nothing else, has a ¿ where it begins"
    if not _SPEAKABLE.fullmatch(sentence.replace("¿", "", 1)[:-1]):
        return "must be one sentence of letters, digits, commas and hyphens"
    count = len(sentence.split())
    return "" if count <= MOST_WORDS else f"has {count} words; at most {MOST_WORDS}"


def _translated(english: Checklist, other: _Translation) -> Checklist:
    steps = tuple(
        step.model_copy(
            update={
                name: text
                for name, text in other.steps[step.id].model_dump().items()
                if name in type(step).model_fields
            }
        )
        for step in english.steps
    )
    return english.model_copy(update={"purpose": other.purpose, "steps": steps})
