"""Reasons in Spanish: every clause that knowledge can say has a row, by its id."""

import itertools
from collections.abc import Iterator
from dataclasses import replace
from typing import get_args

import pytest

from companion.job.method import _sentences
from companion.knowledge.catalogue import NotKnown, Refrigerant
from companion.knowledge.charging import decide_method
from companion.knowledge.diagnosis import diagnose
from companion.knowledge.findings import Amps, FindingId, Readings
from companion.knowledge.limits import AirFlow
from companion.knowledge.methods import (
    Holds,
    Leak,
    Loss,
    Metering,
    Method,
    MethodInputs,
    RefusalKind,
    Season,
    Unit,
)
from companion.knowledge.plausible import WINDOWS, as_quantity, judge
from companion.knowledge.properties import OutsideTable, Subcooling, Superheat
from companion.knowledge.quantities import (
    AbsolutePressure,
    GaugePressure,
    PressureDifference,
    Quantity,
    Temperature,
    TemperatureDifference,
)
from companion.knowledge.readings import Item, ReadingContext
from companion.knowledge.tables import Citation
from companion.knowledge.targets import (
    NameplateNeeded,
    Target,
    target_superheat,
)
from companion.shell.knowledge_files import read_knowledge
from companion.shell.prose import ProseError, load_prose, read_prose
from companion.shell.wording import read_wording

KNOWLEDGE = read_knowledge()
SPANISH = read_prose("es")
F, DF = Temperature.from_f, TemperatureDifference.from_f
CITED = Citation(source="own-choice", at="test", mark="own design")


def found(designation: str) -> Refrigerant:
    known = KNOWLEDGE.catalogue.get(designation)
    assert isinstance(known, Refrigerant)
    return known


def held(reasons: set[str]) -> None:
    """Hold the table to what can be said; name each clause without a row."""
    lacking = sorted({each for text in reasons for each in SPANISH.missing(text)})
    rows = "".join(
        f'\n[[said]]\nid = "..."\nen = "{each}"\nes = "..."' for each in lacking
    )
    assert not lacking, f"prose_es.toml has no row for:{rows}"


def inputs() -> Iterator[MethodInputs]:
    """Known and unknown, one thing after the other, for each kind of refrigerant."""
    catalogue = KNOWLEDGE.catalogue
    names = (
        "R-32",
        "R-410A",
        "R-407C",
        "R-22",
        "R-502",
        "R-744",
        "R-717",
        "R-11",
        "R-999",
    )
    targets = [
        None,
        *(
            target_superheat(KNOWLEDGE.targets, F(outdoor), F(bulb))
            for outdoor, bulb in ((95, 67), (115, 50), (200, 67), (95, 20))
        ),
    ]
    grid = itertools.product(
        (None, *get_args(Holds)),
        (None, *get_args(Unit)),
        (None, *get_args(Leak)),
        (None, *get_args(Loss)),
        (None, *get_args(Season)),
        (None, *get_args(Metering)),
    )
    plain = {
        "identity_proven": True,
        "precheck_fault": False,
        "non_condensables_suspected": False,
        "critical_charge": False,
        "outdoor": F(95),
        "dip_tube": False,
        "restrictor": False,
        "precautions": True,
    }
    fixed = [
        "refrigerant",
        "identity_proven",
        "precheck_fault",
        "leak",
        "holds",
        "unit",
        "non_condensables_suspected",
        "loss",
        "critical_charge",
        "season",
        "outdoor",
        "metering",
        "dip_tube",
        "restrictor",
        "precautions",
    ]
    others = [
        {},
        *({key: None} for key in plain),
        {"precheck_fault": True},
        {"non_condensables_suspected": True},
        {"critical_charge": True},
        {"outdoor": F(30)},
        {"dip_tube": True},
        {"restrictor": True},
        {"precautions": False},
        {"cylinder": catalogue.get("R-22")},
        {"cylinder": catalogue.get("R-290")},
        {"cylinder": catalogue.get("R-999")},
    ]
    yield MethodInputs()
    for name in ("R-32", "R-410A", "R-407C"):
        whole = {
            "refrigerant": catalogue.get(name),
            "holds": "partly",
            "unit": "running",
            "leak": "repaired",
            "loss": "small",
            "season": "cooling",
            "metering": "thermostatic",
            **plain,
        }
        for unknown in fixed:
            for holds in ("partly", "evacuated"):
                known = {**whole, "holds": holds, unknown: None}
                yield MethodInputs(**known, dont_know=frozenset({unknown}))
                yield MethodInputs(**known)
    for name in names:
        for holds, unit, leak, loss, season, metering in (
            grid
            if name == "R-407C"
            else (
                ("partly", "running", "repaired", "small", "cooling", "thermostatic"),
                ("partly", "running", "repaired", "small", "cooling", "fixed-orifice"),
                ("evacuated", "off", "repaired", "small", "cooling", "thermostatic"),
            )
        ):
            for other in (
                others if leak == "repaired" and loss == "small" else others[:1]
            ):
                for target in targets if metering == "fixed-orifice" else targets[:1]:
                    yield MethodInputs(
                        refrigerant=catalogue.get(name),
                        holds=holds,
                        unit=unit,
                        leak=leak,
                        loss=loss,
                        season=season,
                        metering=metering,
                        superheat_target=target,
                        **(plain | other),
                    )


def test_methods_and_refusals() -> None:
    reasons: set[str] = set()
    kinds: set[str] = set()
    for each in inputs():
        decided = decide_method(each, KNOWLEDGE.limits)
        if isinstance(decided, Method):
            reasons.add(_sentences(decided.reason))
            kinds.add(decided.id)
        else:
            reasons.add(_sentences(f"{decided.reason}. {decided.what_to_do}"))
            kinds.add(decided.refusal)
    assert set(get_args(RefusalKind)) - kinds == set()
    held(reasons)


def readings() -> Iterator[Readings]:
    heat = Target(of="superheat", value=DF(12), citation=CITED)
    cool = Target(of="subcooling", value=DF(10), citation=CITED)
    nameplate = NameplateNeeded(assumed=DF(10))
    spread: tuple[float, ...] = (1, 4, 8, 12, 20, 40)
    plain = Readings(
        metering="fixed-orifice",
        superheat=Superheat(value=DF(20), saturation=F(40), uncertainty=DF(2)),
        subcooling=Subcooling(value=DF(6), saturation=F(110), uncertainty=DF(2)),
        outdoor=F(95),
        superheat_target=heat,
    )
    yield replace(plain, standing_off=PressureDifference.from_psi(30))
    yield replace(plain, standing_off=PressureDifference.from_psi(-30))
    yield replace(plain, coil_iced=True)
    yield replace(plain, airflow=AirFlow(cfm_per_ton=250))
    yield replace(plain, discharge=F(260))
    yield replace(plain, return_dry_bulb=F(50))
    yield replace(plain, return_wet_bulb=F(72))
    yield replace(plain, subcooling_target=cool)
    below = Superheat(value=DF(-30), saturation=F(40), uncertainty=DF(2))
    yield replace(plain, superheat=below, glide=DF(0.2))
    below_bubble = Subcooling(value=DF(-30), saturation=F(110), uncertainty=DF(2))
    yield replace(plain, subcooling=below_bubble, glide=DF(0.2))
    for metering, sh, sc, amps, error in itertools.product(
        get_args(Metering), spread, spread, (None, *get_args(Amps)), (1, 8)
    ):
        orifice = metering == "fixed-orifice"
        for outdoor, dew, condensing, targets in (
            (95, 40, 110, (heat, cool)),
            (95, 25, 110, (heat, cool)),
            (95, 40, 150, (heat, cool)),
            (30, 40, 110, (heat, cool)),
            (95, 40, 110, (None, None)),
            (
                95,
                40,
                110,
                (target_superheat(KNOWLEDGE.targets, F(200), F(60)), nameplate),
            ),
        ):
            yield Readings(
                metering=metering,
                superheat=Superheat(
                    value=DF(sh), saturation=F(dew), uncertainty=DF(error)
                ),
                subcooling=Subcooling(
                    value=DF(sc), saturation=F(condensing), uncertainty=DF(error)
                ),
                outdoor=F(outdoor),
                superheat_target=targets[0] if orifice else None,
                subcooling_target=None if orifice else targets[1],
                amps=amps,
            )


def test_findings() -> None:
    made = [diagnose(each, KNOWLEDGE.limits) for each in readings()]
    assert {each.id for each in made} == set(get_args(FindingId))
    held({each.reason for each in made} | {each.next_step for each in made})


def doubts() -> Iterator[str]:
    for item in WINDOWS:
        for value in (-4000, -100, -14, 10, 60, 118, 180, 300, 640, 760, 5000):
            quantity = quantity_of(item, value)
            for context in contexts(item) if quantity is not None else ():
                assert quantity is not None
                told = judge(item, quantity, context)
                if told.kind != "believable":
                    yield told.reason


def quantity_of(item: Item, value: float) -> Quantity | None:
    try:
        return as_quantity(item, value)
    except ValueError:
        return None


def contexts(item: Item) -> Iterator[ReadingContext]:
    before = {item: as_quantity(item, 60)}
    moment: dict[Item, Quantity] = {
        "suction-pressure": GaugePressure.from_psi(118),
        "liquid-pressure": GaugePressure.from_psi(340),
        "suction-line-temperature": F(60),
        "liquid-line-temperature": F(95),
        "outdoor-temperature": F(95),
        "return-dry-bulb": F(78),
        "return-wet-bulb": F(66),
    }
    others = {key: value for key, value in moment.items() if key != item}
    for running in (True, False, None):
        for last in ({}, before):
            for there in ({}, others):
                yield ReadingContext(
                    properties=KNOWLEDGE.properties,
                    refrigerant=found("R-410A"),
                    ambient=AbsolutePressure.from_psi(14.696),
                    running=running,
                    last=last,
                    others=there,
                )


def test_doubts_and_impossible_readings() -> None:
    told = set(doubts())
    assert len(told) > 40
    held(told)


def test_refused_names_and_readings_outside_the_tables() -> None:
    catalogue = KNOWLEDGE.catalogue
    told = {
        each.reason
        for name in catalogue.designations
        if not isinstance(each := catalogue.get(name), Refrigerant)
    }
    told |= {NotKnown(text="R-9", near=near).reason for near in ((), ("R-22", "R-32"))}
    for critical, asked in itertools.product((True, False), (1.0, 900.0)):
        outside = OutsideTable(
            what="pressure",
            designation="R-410A",
            asked=AbsolutePressure.from_psi(asked),
            low=AbsolutePressure.from_psi(20),
            high=AbsolutePressure.from_psi(600),
            above_critical=critical,
        )
        told.add(f"{outside.reason}.")
    held(told)


@pytest.mark.parametrize(
    "said",
    [
        "There is no target to compare with.",
        (
            "Several openings changed nothing. Check the cylinder valve, the hose and "
            "what is left in the cylinder."
        ),
        "There is no target to prove it by.",
        (
            "The weight is in, but the readings are off the target. Look for another "
            "cause before you change the charge."
        ),
        "The readings are not complete.",
        "It is still short.",
        "It holds too much now. Recover some, into a recovery cylinder with room left.",
        "Without the weather there is no target superheat.",
        "The charge to weigh in is not known. Read it from the nameplate.",
    ],
)
def test_what_the_job_itself_gives_as_a_reason(said: str) -> None:
    held({said})


def test_a_reason_keeps_its_figures_its_case_and_its_full_stop() -> None:
    said = SPANISH.said(
        "It changed by 55 psig since the last reading; up to 40 is usual"
    )
    assert said == "Cambió 55 psig desde la última lectura; hasta 40 es habitual"
    assert SPANISH.said("The leak is not repaired.") == "La fuga no está reparada."
    assert SPANISH.said(
        "R-744 is out of scope: toxic (group B2L) and attacks copper alloys"
    ).startswith("R-744 queda fuera de este programa: es tóx")


def test_what_has_no_row_stays_and_is_named() -> None:
    assert SPANISH.said("Something quite new. R-22.") == "Something quite new. R-22."
    assert SPANISH.missing("Something quite new. R-22.") == ["Something quite new"]


def test_english_is_left_alone() -> None:
    assert (
        read_prose("en").said("The leak is not repaired.")
        == "The leak is not repaired."
    )


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ('id = "a"\nen = "x {n}"\nes = "y {m} {n}"', "a: the places"),
        ('id = "a"\nen = "x; y"\nes = "y"', "a: holds more than one clause"),
        (
            'id = "a"\nen = "x"\nes = "y"\n[[said]]\nid = "a"\nen = "z"\nes = "y"',
            "a: twice",
        ),
        ('id = "a"\nen = "x"', "cannot be used"),
    ],
)
def test_each_fault_is_named(row: str, fault: str) -> None:
    with pytest.raises(ProseError, match=fault):
        load_prose(f"[[said]]\n{row}", "prose_es.toml")


def test_spoken_reasons_spell_designations() -> None:
    wording = read_wording("us", language="es")
    said = wording.value("It is not proven that the circuit holds R-410A.", spoken=True)
    assert "R cuatro diez A de alfa" in said
