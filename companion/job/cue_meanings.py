"""What the cues that move a hand mean, for those who drive the engine from outside.

A simulated technician, or a machine that reads the cues, needs to know which cue asks
for which act, and what the values beside it are.
"""

from collections.abc import Mapping
from types import MappingProxyType

ACTS: Mapping[str, str] = MappingProxyType(
    {
        "ready-slow": "say 'i am ready'; at open-now turn slowly, stop at turn_to",
        "ready-vapor-slow": "the same, drawing vapor",
        "ready-pulse": "say 'i am ready'; at open-now open as hint says",
        "ready-vapor": "the same, drawing vapor",
        "ready-weigh": "say 'i am ready'; at open-now open, call out the weight",
        "open-now": (
            "open the charging valve now as hint says; say 'flowing' when it is open; "
            "call out suction pressure (ask open-suction) or weight (ask open-weight)"
        ),
        "ease-off": "leave the valve open, but turn it back a little",
        "open-more": "no rise yet: open a little more",
        "close-*": (
            "close the charging valve at once and say 'fully shut', or press closed; "
            "every cue that begins with close- means this, however often it comes"
        ),
        "closed-again": "it was half heard: say 'fully shut' once more",
        "ask cylinder-valve-shut": "shut the cylinder's own valve, say 'affirmative'",
        "ask cylinder-valve-open": (
            "open the cylinder's own valve, charging valve closed, say 'affirmative'"
        ),
        "ask fully-shut": "look whether the charging valve is fully shut; yes or no",
        "ask unit-running": "start the unit in cooling, charging valve closed; yes or no",
        "ask low-side-hose": "move the hose to the low side, purge, say 'all done'",
        "ask flow-checked": (
            "look at the cylinder (valve open, right way up, frost, weight), then at "
            "hose and port; say 'all done'"
        ),
        "ask long-hose": "yes where the charging hose is longer than 5 ft, else no",
        "valve-passes": (
            "suction climbs with the charging valve closed; the question to shut the "
            "cylinder's valve follows"
        ),
        "readings-old": "ready came too late: the readings are asked for again",
        "ask-again": "read the same instrument once more",
        "read-back": "say 'affirmative', 'negative', or the right value",
        "read-back-doubt": "look again; 'affirmative', or the value that is there",
        "wait-settle": "leave the valve closed and wait; the engine asks when it is time",
        "wait-final": "the same, for the proof",
        "charging-ended": "no more is added; outcome says why (stopped: reason)",
        "verdict-end": "no more is added; reason says why",
        "halted": "say 'continue', 'go back' or 'finish'",
        "blocked": "nothing is opened until the device is found; to end, 'stop', 'finish'",
    }
)
"""Cue, or question as ``ask KEY``, to what the technician does."""

MEANINGS: Mapping[str, str] = MappingProxyType(
    {
        "hint": (
            "slow: turn slowly and stop when the needle reaches turn_to; same: as far "
            "as last time; less: about 0.6 of it; more: about 1.35; double: about twice"
        ),
        "turn_to": "suction pressure at which a slow turn stops (start plus five or less)",
        "top": "suction pressure at which to close at once",
        "open_seconds": "planned time until the close call, from the opening [s]",
        "number": "number of the opening, from 1",
        "seconds": "length of a wait [s]",
        "left_s": "time until the close call [s]",
        "openings": "openings done, or still to come",
        "mass": "refrigerant still to come, about",
        "stop": "cylinder weight at which to close",
        "outcome": "why charging ended: target, already-full, no-rise, overcharged, ...",
        "finding": (
            "why it is read again: second-look, near-target, still-moving, no-rise, "
            "creep (it fills on with the valve shut), overcharged, ..."
        ),
        "amount": "a value with of and si also carries psig, f, df or oz",
        "key": (
            "a question by its key, or a step as LIST/STEP; in a fact @n names the "
            "round of readings, b or c after it the same reading once more, #n the "
            "opening; halted and waiting are states, each with its expectation"
        ),
        "deadline": (
            "when a tick is due; null after job-finished, or while nothing is waited for"
        ),
    }
)
"""Names of cue values to what they are."""
