"""Every combination of what a charging method depends on has a safe outcome."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any, get_args

import pytest

from companion.job.amounts import amount
from companion.job.facts import (
    MethodChosen,
    NameAnswer,
    NumberAnswer,
    OptionAnswer,
)
from companion.job.know import Know
from companion.job.method import choose_method
from companion.job.refusals import Refused
from companion.job.state import Job
from companion.knowledge.catalogue import Refrigerant
from companion.knowledge.charging import decide_method
from companion.knowledge.limits import Limits
from companion.knowledge.loading import Knowledge
from companion.knowledge.methods import (
    Holds,
    Leak,
    Loss,
    Metering,
    Method,
    MethodInputs,
    MethodRefused,
    RefusalKind,
    Season,
    Unit,
)
from companion.knowledge.quantities import Mass, Temperature, TemperatureDifference
from companion.knowledge.targets import target_superheat
from companion.shell.knowing import read_know
from companion.shell.knowledge_files import read_knowledge
from companion.shell.wording import read_wording
from tests.rules.lazily import Answers, Inputs, Wanted, every_path

CANNOT_TELL = "cannot tell"
WORDS = read_wording("us").tables

"""Asked for, and no answer is to be had."""
F = Temperature.from_f
# One of each kind: single, azeotrope, near-azeotrope, high glide, flammable of either
# kind; then what is refused.
NAMES = ("R-22", "R-507A", "R-410A", "R-407C", "R-32", "R-454B", "R-290")
REFUSED_NAMES = ("R-744", "R-717", "R-11", "no such thing")


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return read_knowledge()


def _maybe(literal: Any) -> tuple[Any, ...]:
    return (None, CANNOT_TELL, *get_args(literal))


def _values(knowledge: Knowledge) -> dict[str, tuple[Any, ...]]:
    yes_no = (None, CANNOT_TELL, True, False)
    targets = [
        target_superheat(knowledge.targets, F(outdoor), F(wet))
        for outdoor, wet in ((95, 67), (95, 60), (120, 70))
    ]
    return {
        "identity_proven": yes_no,
        "precautions": yes_no,
        "precheck_fault": yes_no,
        "leak": _maybe(Leak),
        "non_condensables_suspected": yes_no,
        "holds": _maybe(Holds),
        "unit": _maybe(Unit),
        "loss": _maybe(Loss),
        "critical_charge": yes_no,
        "season": _maybe(Season),
        "outdoor": (None, CANNOT_TELL, F(20), F(54.9), F(55), F(95), F(130)),
        "metering": _maybe(Metering),
        "superheat_target": (None, CANNOT_TELL, *targets),
        "dip_tube": yes_no,
        "restrictor": yes_no,
    }


class _Lazy(Inputs):
    """Method inputs of which only those on the path have values."""

    @property
    def dont_know(self) -> frozenset[str]:
        told = {n for n, value in self._path.items() if value is CANNOT_TELL}
        return frozenset(told)

    def __getattr__(self, name: str) -> Any:
        found = super().__getattr__(name)
        return None if found is CANNOT_TELL else found


def _decide(path: Mapping[str, Any], limits: Limits) -> Method | MethodRefused:
    found: Any = _Lazy(path)
    return decide_method(found, limits)


def test_the_values_cover_every_input(knowledge: Knowledge) -> None:
    given = {"refrigerant", "cylinder", "dont_know", *_values(knowledge)}
    assert given == {field.name for field in fields(MethodInputs)}


@pytest.mark.parametrize("name", [*NAMES, *REFUSED_NAMES, None, CANNOT_TELL])
def test_no_combination_is_without_a_safe_outcome(
    knowledge: Knowledge, name: str | None
) -> None:
    catalogue = knowledge.catalogue
    named = name not in (None, CANNOT_TELL)
    found = catalogue.get(str(name)) if named else name
    cylinders = (None, *(catalogue.get(n) for n in (*NAMES, *REFUSED_NAMES)))
    values = {**_values(knowledge), "refrigerant": (found,), "cylinder": cylinders}
    kinds: Counter[str] = Counter()
    for path, outcome in every_path(lambda p: _decide(p, knowledge.limits), values):
        _check(path, outcome, knowledge)
        kinds[outcome.id if isinstance(outcome, Method) else outcome.refusal] += 1
    if isinstance(found, Refrigerant):
        zeotrope = found.kind == "zeotrope"
        assert ("vapor" in kinds) == (not zeotrope)
        assert ("liquid-pulses" in kinds) == zeotrope
        assert {"weigh-in", "liquid-restrictor"} <= kinds.keys()
        refusals = set(get_args(RefusalKind)) - {"refrigerant"}
        if not found.flammable:
            refusals -= {"precautions"}
        assert refusals <= kinds.keys()
    else:
        assert kinds.keys() <= {"refrigerant", "identity", "not-known"}


def _check(
    path: Mapping[str, Any], outcome: Method | MethodRefused, knowledge: Knowledge
) -> None:
    assert outcome.reason
    assert "None" not in outcome.reason
    assert outcome.citation.source in knowledge.sources
    if isinstance(outcome, MethodRefused):
        assert outcome.refusal in get_args(RefusalKind)
        assert outcome.what_to_do
        assert (outcome.refusal == "not-known") == bool(outcome.missing)
        if outcome.then is not None:
            _check_draw(path, outcome.then)
            assert outcome.then.id == "weigh-in"
            assert outcome.first[-1] == "evacuate"
            assert "stop" in outcome.first or path.get("unit") == "off"
            # Whatever may be inside is recovered before the pump is put on.
            assert "recover" in outcome.first or path["holds"] == "empty"
        return
    _check_draw(path, outcome)
    assert path["identity_proven"] is True
    assert path["precheck_fault"] is False
    assert path["leak"] in ("none-found", "repaired")
    assert path["dip_tube"] in (True, False)
    assert path["cylinder"] in (None, path["refrigerant"])
    if path["refrigerant"].flammable:
        assert path["precautions"] is True
    if outcome.id == "weigh-in":
        assert (path["holds"], path["unit"]) == ("evacuated", "off")
        return
    assert (path["holds"], path["unit"], path["season"]) == (
        "partly",
        "running",
        "cooling",
    )
    assert path["outdoor"] >= knowledge.limits.outdoor_min
    assert path["critical_charge"] is False
    assert path["non_condensables_suspected"] is False
    assert path.get("loss") not in ("large", CANNOT_TELL)
    assert path["metering"] in get_args(Metering)
    if path["metering"] == "fixed-orifice":
        target = path["superheat_target"]
        assert target is None or target.kind == "target"


def _check_draw(path: Mapping[str, Any], method: Method) -> None:
    zeotrope = path["refrigerant"].kind == "zeotrope"
    assert method.draw == "liquid" or not zeotrope
    running = method.port == "suction"
    assert (method.id == "weigh-in") == (not running)
    if running and method.draw == "liquid":
        assert method.opening == "throttled" or path["restrictor"] is True
    if running and not zeotrope and path["restrictor"] is not True:
        assert method.draw == "vapor"
    assert (method.cylinder == "upright") == (
        (method.draw == "liquid") == path["dip_tube"]
    )


def test_what_is_asked_for_can_change_the_outcome(knowledge: Knowledge) -> None:
    """No question is put to the technician whose answer makes no difference."""
    values = {
        **_values(knowledge),
        "refrigerant": tuple(knowledge.catalogue.get(n) for n in ("R-407C", "R-32")),
        "cylinder": (None,),
    }
    limits = knowledge.limits
    asked = [
        (path, outcome.missing)
        for path, outcome in every_path(lambda p: _decide(p, limits), values)
        if isinstance(outcome, MethodRefused) and outcome.missing
    ]
    assert len(asked) > 100
    for path, missing in asked:
        told = {_told(path, missing, value, limits) for value in values[missing]}
        assert len(told) > 1, (path, missing)


def _told(
    path: Mapping[str, Any], missing: str, value: Any, limits: Limits
) -> tuple[str, ...]:
    """Give the outcome with one more input known, or which one is read next."""
    try:
        found = _decide({**path, missing: value}, limits)
    except Wanted as wanted:
        return ("goes on to", wanted.name)
    if isinstance(found, Method):
        return (found.id, found.cylinder)
    return (found.refusal, found.missing, found.reason)


# --- the same of a job: whatever a technician answers


def _option(*options: str) -> tuple[OptionAnswer, ...]:
    return tuple(OptionAnswer(option=option) for option in options)


def _number(*given: Any) -> tuple[NumberAnswer, ...]:
    return tuple(NumberAnswer(amount=amount(each)) for each in given)


OTHER = "R-290"
"""What the wrong cylinder holds."""
ANSWERS: dict[str, tuple[Any, ...]] = {
    "unit-state": _option(
        "cooling", "heating", "evacuated", "empty", "off-charged", "unknown"
    ),
    "leak-state": _option("none-found", "repaired", "unrepaired", "unknown"),
    "loss": _option("small", "large", "unknown"),
    "critical-charge": _option("yes", "no", "unknown"),
    "outdoor-temperature": _number(F(54), F(95)),
    "return-wet-bulb": _number(F(60), F(67)),
    "metering": _option("fixed-orifice", "thermostatic", "electronic", "unknown"),
    "dip-tube": _option("yes", "no", "unknown"),
    "restrictor": _option("yes", "unknown"),
    "factory-charge": (*_number(Mass.from_oz(96)), *_option("unknown")),
    "target-subcooling": (
        *_number(TemperatureDifference.from_f(10)),
        *_option("unknown"),
    ),
}


@pytest.fixture(scope="module")
def know() -> Know:
    return read_know()


@pytest.mark.slow
@pytest.mark.parametrize("name", ["R-22", "R-407C"])
def test_no_answers_of_a_job_lead_astray(know: Know, name: str) -> None:
    empty = Job()
    values = {
        **ANSWERS,
        "unit-refrigerant": (NameAnswer(designation=name),),
        "cylinder-refrigerant": (
            NameAnswer(designation=name),
            NameAnswer(designation=OTHER),
        ),
    }
    if name == "R-22":  # its make-up cannot change, so nobody asks
        values["loss"] = _option("large")
    kinds: Counter[str] = Counter()

    def decide(path: Mapping[str, Any]) -> MethodChosen | Refused:
        return choose_method(replace(empty, answers=Answers(path)), know, 1.0)

    for path, outcome in every_path(decide, values):
        kinds[outcome.method if isinstance(outcome, MethodChosen) else outcome.id] += 1
        _check_job(path, outcome, know)
    assert "weigh-in" in kinds
    assert kinds["not-known"] > 0


def _check_job(
    path: Mapping[str, Any], outcome: MethodChosen | Refused, know: Know
) -> None:
    if isinstance(outcome, Refused) and not outcome.reason:
        assert outcome.id in WORDS.impossible
    elif isinstance(outcome, Refused) and outcome.missing:
        assert outcome.missing in WORDS.unknowns
    else:
        assert outcome.reason.endswith(".")
    if isinstance(outcome, Refused):
        return
    refrigerant = know.knowledge.catalogue.get(path["unit-refrigerant"].designation)
    assert isinstance(refrigerant, Refrigerant)
    assert path["cylinder-refrigerant"] == path["unit-refrigerant"]
    assert refrigerant.kind != "zeotrope" or outcome.draw == "liquid"
    assert path["leak-state"].option in ("none-found", "repaired")
    if outcome.method == "weigh-in":
        assert path["unit-state"].option == "evacuated"
        assert isinstance(path["factory-charge"], NumberAnswer)
        return
    assert path["unit-state"].option == "cooling"
    assert path["critical-charge"].option == "no"
    assert outcome.target is not None
    if outcome.draw == "liquid" and path["restrictor"] != OptionAnswer(option="yes"):
        assert outcome.method == "liquid-pulses"
