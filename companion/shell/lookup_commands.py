"""The look-up commands: their arguments on the command line, and which look-up answers.

The knowledge is read only when a look-up runs, and nothing heavier is imported.
"""

from argparse import Namespace

from companion.knowledge.loading import Knowledge
from companion.shell.knowledge_files import read_knowledge
from companion.shell.lookup_answer import Answer
from companion.shell.lookup_charge import (
    HOSE_BORE,
    HOSE_TEMPERATURE,
    ChargeArguments,
    look_up_target_charge,
)
from companion.shell.lookup_check_commands import add_checks
from companion.shell.lookup_command_parts import (
    Ask,
    Subparsers,
    add_altitude,
    add_lookup,
    taken,
)
from companion.shell.lookup_cylinder import CylinderArguments, look_up_cylinder
from companion.shell.lookup_evacuation import (
    look_up_conditions,
    look_up_evacuation,
)
from companion.shell.lookup_finding import FindingArguments, look_up_finding
from companion.shell.lookup_leak import LeakArguments, look_up_leak
from companion.shell.lookup_method import MethodArguments, look_up_method
from companion.shell.lookup_refrigerant import look_up_refrigerant
from companion.shell.lookup_targets import (
    look_up_target_subcooling,
    look_up_target_superheat,
)
from companion.shell.lookup_withdrawal import (
    USUAL_TEMPERATURE,
    USUAL_VOLUME,
    WithdrawalArguments,
    look_up_withdrawal,
)
from companion.shell.lookups import (
    look_up_saturation,
    look_up_subcooling,
    look_up_superheat,
)


def add_lookups(commands: Subparsers) -> None:
    """Add every look-up command."""
    one = add_lookup(
        commands, "refrigerant", "what is known of a refrigerant", _refrigerant
    )
    one.add_argument("designation", help="for example R-407C")
    one = add_lookup(commands, "saturation", "bubble and dew point", _saturation)
    one.add_argument("designation")
    one.add_argument("--pressure", help="for example 68psig, or 570kPa (absolute)")
    one.add_argument("--temperature", help="for example 25C")
    one.add_argument(
        "--plot", metavar="FILE", help="draw the curves, for example x.png"
    )
    add_altitude(one)
    one = add_lookup(
        commands, "superheat", "superheat from gauge and clamp", _superheat
    )
    one.add_argument("designation")
    one.add_argument("--suction", required=True, help="suction pressure")
    one.add_argument("--line", required=True, help="suction line temperature")
    add_altitude(one)
    one = add_lookup(
        commands, "subcooling", "subcooling from gauge and clamp", _subcooling
    )
    one.add_argument("designation")
    one.add_argument("--liquid", required=True, help="liquid pressure")
    one.add_argument("--line", required=True, help="liquid line temperature")
    add_altitude(one)
    _add_blends(commands)
    _add_method(commands)
    _add_finding(commands)
    _add_targets(commands)
    add_checks(commands)


def look_up(arguments: Namespace) -> Answer:
    """Answer a look-up command.

    Raises
    ------
    LookupUsage
        If an argument is of the wrong kind.
    LookupRefusal
        If the question has no answer.
    """
    ask: Ask = arguments.ask
    return ask(read_knowledge(), arguments)


def _add_blends(commands: Subparsers) -> None:
    one = add_lookup(
        commands, "withdrawal", "what drawing does to a blend", _withdrawal
    )
    one.add_argument("designation")
    one.add_argument("--draw", required=True, help="liquid or vapor")
    one.add_argument("--fraction", required=True, help="share drawn: 0.5 or 50%%")
    one.add_argument("--temperature", default=USUAL_TEMPERATURE)
    one.add_argument("--volume", default=USUAL_VOLUME, help="of the cylinder")
    one.add_argument("--net", help="mass at the start; else filled by the rule")
    one.add_argument("--onto", help="mass the unit held by its label before")
    one.add_argument("--plot", metavar="FILE", help="draw the curve, for example x.png")
    one = add_lookup(commands, "leak", "what a leak left, and whether to top up", _leak)
    one.add_argument("designation")
    one.add_argument("--lost", required=True, help="share lost: 0.3 or 30%%")
    one.add_argument("--as", dest="what", required=True, help="liquid or vapor")
    one.add_argument("--temperature", default=USUAL_TEMPERATURE)
    one.add_argument("--level", help="share of the unit that was liquid at rest")
    one = add_lookup(commands, "cylinder", "what is in a cylinder", _cylinder)
    one.add_argument("designation")
    one.add_argument("--temperature", required=True)
    one.add_argument("--volume", help="for example 12L")
    one.add_argument("--water-capacity", help="as stamped, for example 26.2lb")
    one.add_argument("--net", help="for example 5kg; or --gross and --tare")
    one.add_argument("--gross")
    one.add_argument("--tare")
    one.add_argument("--pressure", help="what its gauge shows at rest")
    one.add_argument("--gravity", help="printed specific gravity, for the fill rule")
    add_altitude(one)


_METHOD_CHOICES = (
    ("unit", "running or off"),
    ("holds", "empty, evacuated or partly"),
    ("metering", "fixed-orifice, thermostatic or electronic"),
    ("season", "cooling or heating"),
    ("outdoor", "for example 95F"),
    ("wet-bulb", "of the return air, for example 67F"),
    ("leak", "none-found, repaired or unrepaired"),
    ("loss", "small or large"),
)
_METHOD_FLAGS = (
    "restrictor",
    "dip-tube",
    "critical-charge",
    "precheck-fault",
    "non-condensables",
    "precautions",
)


def _add_method(commands: Subparsers) -> None:
    one = add_lookup(commands, "method", "which charging method fits, and why", _method)
    one.epilog = "Each may be 'unknown', which takes the safe branch."
    one.add_argument("--refrigerant", required=True)
    one.add_argument(
        "--cylinder-refrigerant", help="by its label, if it is known apart"
    )
    for name, words in _METHOD_CHOICES:
        one.add_argument(f"--{name}", help=words)
    for flag in _METHOD_FLAGS:
        one.add_argument(
            f"--{flag}",
            nargs="?",
            const="yes",
            metavar="yes|no",
            help="yes where no word follows",
        )


def _add_finding(commands: Subparsers) -> None:
    one = add_lookup(
        commands, "finding", "what the readings of a running unit mean", _finding
    )
    for name in ("refrigerant", "metering", "suction", "liquid", "suction-line"):
        one.add_argument(f"--{name}", required=True)
    for name in ("liquid-line", "outdoor"):
        one.add_argument(f"--{name}", required=True)
    for name in ("wet-bulb", "nameplate", "split", "split-target", "amps"):
        one.add_argument(f"--{name}")
    one.add_argument("--airflow", help="cubic feet a minute for each ton, such as 350")
    one.add_argument("--iced", nargs="?", const="yes", help="ice on the indoor coil")
    one.add_argument("--return-dry-bulb")
    one.add_argument("--discharge", help="temperature of the discharge line")
    one.add_argument("--standing", help="pressure of the unit at rest")
    one.add_argument("--standing-temperature", help="of everything then")
    add_altitude(one)


def _add_targets(commands: Subparsers) -> None:
    parser = commands.add_parser("target", help="what to charge to")
    kinds = parser.add_subparsers(metavar="KIND", required=True)
    one = add_lookup(
        kinds, "superheat", "target superheat of a fixed orifice", _to_superheat
    )
    one.add_argument("--outdoor", required=True)
    one.add_argument("--wet-bulb", required=True)
    one = add_lookup(
        kinds, "subcooling", "target subcooling of a valve", _to_subcooling
    )
    one.add_argument("--nameplate")
    one.add_argument("--assume", action="store_true", help="agree to an assumed target")
    one = add_lookup(kinds, "charge", "charge with the line set", _to_charge)
    one.add_argument("--nameplate", required=True)
    one.add_argument("--length", required=True)
    one.add_argument("--line", help="liquid line, for example 3/8; or --per-foot")
    one.add_argument("--per-foot", help="mass for each foot, from the unit's plate")
    one.add_argument("--included", help="length that the factory charge covers")
    one.add_argument("--allowance", help="or the mass that it covers")
    one.add_argument("--accessories", help="mass for filter-driers and the like")
    one.add_argument("--refrigerant")
    one.add_argument("--hose", help="length of the charging hose")
    one.add_argument("--hose-bore", default=HOSE_BORE)
    one.add_argument("--hose-temperature", default=HOSE_TEMPERATURE)
    one = add_lookup(kinds, "evacuation", "steps, or a decay test", _to_evacuation)
    one.add_argument("--pulled", help="level when the pump was shut off: 400micron")
    one.add_argument("--after", help="level now")
    one.add_argument("--held", help="time between, for example 20min")
    one.add_argument("--rising", help="yes or no: whether it still rises")
    add_lookup(kinds, "conditions", "what makes a charge test valid", _to_conditions)


def _refrigerant(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_refrigerant(knowledge, given.designation)


def _withdrawal(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_withdrawal(
        knowledge, WithdrawalArguments(**taken(given, WithdrawalArguments))
    )


def _leak(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_leak(knowledge, LeakArguments(**taken(given, LeakArguments)))


def _cylinder(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_cylinder(
        knowledge, CylinderArguments(**taken(given, CylinderArguments))
    )


def _saturation(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_saturation(
        knowledge,
        given.designation,
        pressure=given.pressure,
        temperature=given.temperature,
        plot=given.plot,
        altitude=given.altitude,
        air=given.air,
    )


def _superheat(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_superheat(
        knowledge,
        given.designation,
        suction=given.suction,
        line=given.line,
        altitude=given.altitude,
        air=given.air,
    )


def _subcooling(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_subcooling(
        knowledge,
        given.designation,
        liquid=given.liquid,
        line=given.line,
        altitude=given.altitude,
        air=given.air,
    )


def _method(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_method(knowledge, MethodArguments(**taken(given, MethodArguments)))


def _finding(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_finding(
        knowledge, FindingArguments(**taken(given, FindingArguments))
    )


def _to_superheat(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_target_superheat(
        knowledge, outdoor=given.outdoor, wet_bulb=given.wet_bulb
    )


def _to_subcooling(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_target_subcooling(
        knowledge, nameplate=given.nameplate, assume=given.assume
    )


def _to_charge(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_target_charge(
        knowledge, ChargeArguments(**taken(given, ChargeArguments))
    )


def _to_evacuation(knowledge: Knowledge, given: Namespace) -> Answer:
    return look_up_evacuation(
        knowledge,
        pulled=given.pulled,
        after=given.after,
        held=given.held,
        rising=given.rising,
    )


def _to_conditions(knowledge: Knowledge, _: Namespace) -> Answer:
    return look_up_conditions(knowledge)
