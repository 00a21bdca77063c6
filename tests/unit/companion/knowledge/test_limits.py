import pytest

from companion.knowledge.limits import LIMIT_TYPES, Limits
from companion.knowledge.limits_table import read_limits
from companion.knowledge.loading import Knowledge
from companion.knowledge.tables import TableFault


def test_every_limit_has_a_reason_and_a_source(knowledge: Knowledge) -> None:
    notes = knowledge.limits.notes
    assert notes.keys() == LIMIT_TYPES.keys()
    for name, note in notes.items():
        assert note.why, name
        assert knowledge.limits.citation(name).source in knowledge.sources


def test_the_trades_numbers_say_that_they_have_no_source(knowledge: Knowledge) -> None:
    limits = knowledge.limits
    for name in ("pulse_rise_soft", "pulse_rise_hard", "pulse_open_time"):
        assert limits.citation(name).mark == "common practice, no source"


def test_the_values_in_force(knowledge: Knowledge) -> None:
    limits = knowledge.limits
    assert limits.pulse_rise_soft.psi == pytest.approx(10)
    assert limits.pulse_rise_hard.psi == pytest.approx(15)
    assert limits.pulse_open_time.s == 15
    assert limits.pulse_saturation_rise.f == pytest.approx(6)
    assert limits.superheat_floor.f == pytest.approx(5)
    assert limits.outdoor_min.f == pytest.approx(55)
    assert limits.superheat_tolerance.f == pytest.approx(5)
    assert limits.subcooling_tolerance.f == pytest.approx(3)
    assert limits.reading_errors.suction.psi == pytest.approx(3.5)
    assert limits.reading_errors.liquid.psi == pytest.approx(7)


def test_limits_fit_each_other(knowledge: Knowledge) -> None:
    limits = knowledge.limits
    assert limits.pulse_rise_soft < limits.pulse_rise_hard
    assert limits.pulse_tone_time.s < limits.pulse_open_time.s
    assert limits.superheat_floor < limits.superheat_to_start
    assert limits.superheat_to_start < limits.superheat_small_openings
    assert limits.settle_far.s < limits.settle_near.s < limits.settle_final.s
    assert limits.superheat_tolerance < limits.superheat_tolerance_rater


@pytest.mark.parametrize(
    ("right", "wrong", "key", "hint"),
    [
        ("[pulse_rise_soft]", "[pulse_rise]", "pulse_rise", "no such limit"),
        ("[pulse_rise_soft]", "[pulse_rise]", "pulse_rise_soft", "is missing"),
        ("value_psi = 10.0", "value_f = 10.0", "pulse_rise_soft", "given as value_f"),
        (
            'value_psi = 10.0\nwhy = "c',
            'why = "c',
            "pulse_rise_soft",
            "given as nothing",
        ),
        ('source = "common-practice"', 'source = "me"', "pulse_rise_soft.cite", "'me'"),
    ],
)
def test_bad_files(
    knowledge: Knowledge,
    texts: dict[str, str],
    right: str,
    wrong: str,
    key: str,
    hint: str,
) -> None:
    assert right in texts["limits.toml"]
    spoiled = texts["limits.toml"].replace(right, wrong, 1)
    found = read_limits(spoiled, knowledge.sources)
    assert not isinstance(found, Limits)
    faults: dict[str, TableFault] = {fault.key: fault for fault in found}
    assert hint in faults[key].wrong
