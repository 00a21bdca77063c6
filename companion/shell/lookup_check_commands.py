"""The look-up commands of checks, units and rules, and which look-up answers each."""

from argparse import Namespace
from typing import get_args

from companion.knowledge.fault_signs import Reading
from companion.knowledge.loading import Knowledge
from companion.shell.lookup_answer import Answer
from companion.shell.lookup_command_parts import (
    Subparsers,
    add_altitude,
    add_lookup,
    taken,
)
from companion.shell.lookup_evacuation import look_up_content
from companion.shell.lookup_judge import KINDS, JudgeArguments, look_up_judge
from companion.shell.lookup_pulse import look_up_pressure, look_up_pulse
from companion.shell.lookup_regulations import (
    LeakRateArguments,
    look_up_co2e,
    look_up_heat,
    look_up_leak_rate,
    look_up_leak_test,
    look_up_recheck,
    look_up_retest,
    look_up_signs,
)


def add_checks(commands: Subparsers) -> None:
    """Add the commands that judge, convert and remind of rules."""
    one = add_lookup(
        commands, "judge", "pass or fail by the published criteria", _judge
    )
    one.add_argument("what", help=", ".join(KINDS))
    one.add_argument("--actual", required=True)
    one.add_argument("--target")
    one.add_argument("--by", help="installer or rater")
    one = add_lookup(commands, "pulse", "limits of one opening of the valve", _pulse)
    one.add_argument("designation")
    one.add_argument("--suction", required=True, help="suction at the start")
    one.add_argument("--now", help="suction now")
    one.add_argument("--open", dest="opened", help="time open, for example 12s")
    one.add_argument("--orifice", help="effective diameter, with --cylinder: 0.5mm")
    one.add_argument("--cylinder", help="its temperature: the flow of liquid then")
    add_altitude(one)
    one = add_lookup(commands, "pressure", "a pressure in every unit", _pressure)
    one.add_argument("value", nargs="?", help="left out: the local air")
    add_altitude(one)
    one = add_lookup(commands, "content", "what a tube or hose holds", _content)
    one.add_argument("designation")
    one.add_argument("--bore", required=True, help="inner diameter: 0.25in, 8mm, 1/4")
    one.add_argument("--length", required=True)
    one.add_argument("--temperature", required=True)
    _add_rules(commands)


def _add_rules(commands: Subparsers) -> None:
    one = add_lookup(
        commands, "leak-rate", "leak rate a year, and its trigger", _leak_rate
    )
    one.add_argument("--added", required=True, help="one mass, or several with commas")
    one.add_argument("--full", required=True, help="full charge")
    one.add_argument("--days", help="since the last addition; left out: a year's sum")
    one.add_argument("--use", help="comfort-cooling, commercial-refrigeration, ...")
    one.add_argument("--refrigerant")
    one.add_argument("--equipment", help="light-commercial, chiller or other")
    one = add_lookup(
        commands, "co2e", "CO2 equivalent, and leak checks in the EU", _co2e
    )
    one.add_argument("designation")
    one.add_argument("--charge")
    one.add_argument("--detection", action="store_true", help="system fitted")
    one.add_argument("--hermetic", action="store_true", help="sealed and labeled so")
    one = add_lookup(commands, "heat", "how dangerous a heat index is", _heat)
    one.add_argument("index", help="for example 108F")
    one = add_lookup(commands, "retest", "until when a cylinder may be filled", _retest)
    one.add_argument("stamp", help="month and year, for example 03-21")
    one.add_argument("--years", type=int)
    one = add_lookup(commands, "recheck", "when to look at a repair again", _recheck)
    one.add_argument("repaired", help="for example 2026-06-01T12:00")
    one = add_lookup(commands, "leak-test", "least pressure of a leak test", _leak_test)
    one.add_argument("--allowable", required=True, help="for example 4.15MPa")
    one = add_lookup(commands, "signs", "faults that fit how readings moved", _signs)
    for name in get_args(Reading):
        one.add_argument(f"--{name}", help="high, low or normal")


def _judge(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_judge(knowledge, JudgeArguments(**taken(given, JudgeArguments)))


def _pulse(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_pulse(
        knowledge,
        given.designation,
        suction=given.suction,
        now=given.now,
        opened=given.opened,
        orifice=given.orifice,
        cylinder=given.cylinder,
        altitude=given.altitude,
        air=given.air,
    )


def _pressure(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_pressure(
        knowledge, given.value, altitude=given.altitude, air=given.air
    )


def _content(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_content(
        knowledge,
        given.designation,
        bore_text=given.bore,
        length_text=given.length,
        temperature_text=given.temperature,
    )


def _leak_rate(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_leak_rate(
        knowledge, LeakRateArguments(**taken(given, LeakRateArguments))
    )


def _co2e(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_co2e(
        knowledge,
        given.designation,
        charge=given.charge,
        detection=given.detection,
        hermetic=given.hermetic,
    )


def _heat(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_heat(knowledge, given.index)


def _retest(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_retest(knowledge, given.stamp, years=given.years)


def _recheck(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_recheck(knowledge, given.repaired)


def _leak_test(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_leak_test(knowledge, given.allowable)


def _signs(knowledge: Knowledge, given: Namespace) -> Answer:
    names = get_args(Reading)
    return look_up_signs(
        knowledge, {name: getattr(given, name.replace("-", "_")) for name in names}
    )
