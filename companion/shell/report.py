"""The job record for people: JSON for machines, one HTML page to print."""

import datetime
import json
from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Any

from companion.job.amounts import Amount
from companion.job.facts import Answer, Fact, NameAnswer, NumberAnswer, OptionAnswer
from companion.job.record import JobRecord, job_record
from companion.knowledge.quantities import AbsolutePressure
from companion.shell.exports import write_whole
from companion.shell.journal import fact_to_dict
from companion.shell.units import number_in, unit_of
from companion.shell.wording import Wording
from speech import LanguageId

JSON_FILE = "record.json"
HTML_FILE = "record.html"
PAGES: Mapping[LanguageId, str] = {"en": "record.html.j2", "es": "record_es.html.j2"}
"""The page's template in each language."""


def write_record(
    facts: Sequence[Fact],
    wording: Wording,
    folder: Path,
    began: datetime.datetime | None = None,
) -> list[Path]:
    """Write the record of a job into a folder; give the files written.

    ``began`` is when it began, where somebody vouched for the clock.
    """
    record = job_record(facts)
    date = began.isoformat(timespec="minutes") if began is not None else None
    plain, page = folder / JSON_FILE, folder / HTML_FILE
    dated = {**record_json(record), "began": date}
    write_whole(plain, json.dumps(dated, indent=1) + "\n")
    write_whole(page, record_page(record, wording, date))
    return [plain, page]


def record_json(record: JobRecord) -> dict[str, Any]:
    """Give the record as plain JSON values; amounts keep their SI number."""
    return {
        "job": record.job,
        "outcome": record.outcome,
        "seconds": round(record.ended_at - record.started_at, 1),
        "ambient_kpa": None if record.ambient is None else record.ambient.si / 1000,
        "added_kg": None if record.added is None else record.added.si,
        "answers": {
            key: _answer_json(answer) for key, answer in record.answers.items()
        },
        "steps": [
            {"step": each.key, "revision": each.revision, "answer": each.answer}
            | {"result": each.result, "at": each.at}
            for each in record.steps
        ],
        "method": None if record.method is None else fact_to_dict(record.method),
        "rounds": [fact_to_dict(each) for each in record.rounds],
        "openings": [
            {
                "number": each.number,
                "called_at": each.called_at,
                "open_s": each.open_s,
                "base_pa": None if each.base is None else each.base.si,
                "peak_pa": None if each.peak is None else each.peak.si,
                "reason": each.reason,
            }
            for each in record.openings
        ],
        "events": [{"at": at, "event": event} for at, event in record.events],
    }


def _answer_json(answer: Answer) -> Any:
    match answer:
        case NumberAnswer(amount=found):
            return {"of": found.of, "si": found.si}
        case NameAnswer(designation=designation):
            return designation
        case OptionAnswer(option=option):
            return option


def record_page(record: JobRecord, wording: Wording, began: str | None = None) -> str:
    """Give the record as one HTML page in the technician's units."""
    # Imported here: nothing on the way to a cue needs it.
    import jinja2

    place = files("companion.shell") / "data" / PAGES[wording.language.id]
    template = jinja2.Environment(autoescape=True).from_string(
        place.read_text(encoding="utf-8")
    )
    values = _page_values(record, wording)
    return template.render(**values, began=began) + "\n"


def _page_values(record: JobRecord, wording: Wording) -> dict[str, Any]:
    tables = wording.tables

    def show(value: Amount | None) -> str:
        if value is None:
            return "-"
        unit = unit_of(value.of, wording.system)
        return f"{number_in(value, unit)} {unit.printed}"

    method = record.method
    air = "-" if record.ambient is None else f"{_kpa(record.ambient):.1f} kPa"
    return {
        "job": record.job,
        "outcome": tables.outcomes.get(
            record.outcome, record.outcome or "not finished"
        ),
        "added": show(record.added),
        "duration": _clock(record.ended_at - record.started_at),
        "ambient": air,
        "method": method
        and {
            "name": tables.methods[method.method],
            "cylinder": tables.cylinders[method.cylinder],
            "reason": wording.value(method.reason, spoken=False),
            "source": method.source,
        },
        "rounds": [
            (
                _clock(each.at),
                each.purpose,
                show(each.superheat),
                show(each.subcooling),
                show(each.target),
                show(each.uncertainty),
                each.verdict,
                each.finding,
            )
            for each in record.rounds
        ],
        "openings": [
            (
                _clock(each.called_at),
                each.number,
                "-" if each.open_s is None else f"{each.open_s:.0f}",
                show(each.base),
                show(each.peak),
                each.reason,
            )
            for each in record.openings
        ],
        "answers": [
            (key, _answer_text(answer, wording))
            for key, answer in record.answers.items()
        ],
        "steps": [
            (_clock(each.at), each.key, each.revision, each.answer, each.result)
            for each in record.steps
        ],
        "events": [(_clock(at), event) for at, event in record.events],
    }


def _answer_text(answer: Answer, wording: Wording) -> str:
    match answer:
        case NumberAnswer(amount=found):
            return wording.value(found, spoken=False)
        case NameAnswer(designation=designation):
            return designation
        case OptionAnswer(option=option):
            return wording.value(option, spoken=False)


def _kpa(ambient: Amount) -> float:
    return AbsolutePressure(ambient.si).kpa


def _clock(seconds: float) -> str:
    minutes, rest = divmod(int(seconds), 60)
    return f"{minutes}:{rest:02d}"
