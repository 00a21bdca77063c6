"""Every cue the engine can say, with the names of its values.

The sentence for each is in the shell's wording table; a test holds the two together.
"""

from collections.abc import Mapping
from types import MappingProxyType

CUES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        # beginning, going on, closing the job
        "welcome": (),
        "resumed": ("phase",),
        "finished": ("outcome", "added"),
        "over": (),
        # asking
        "ask": ("key",),
        "step": ("caution", "say"),
        "step-fix": ("remedy",),
        "step-stop": ("remedy",),
        "step-note": ("remedy",),
        # hearing
        "heard": ("key", "answer"),
        "read-back": ("key", "answer"),
        "read-back-doubt": ("key", "answer", "doubt"),
        "noted": (),
        "denied": (),
        "unclear": (),
        "unclear-often": (),
        "unclear-digits": (),
        "read-back-again": ("key", "answer"),
        "offer-two": ("first", "second"),
        "out-of-range": ("value", "low", "high"),
        "wrong-unit": ("unit", "wanted"),
        "which-name": ("first", "second", "third"),
        "not-an-answer": ("expects",),
        "refused": ("reason",),
        "mismatch": ("cylinder", "unit"),
        # any moment
        "why": ("key",),
        "because": ("text",),
        "status": ("phase", "valve", "key"),
        "help": ("expects",),
        "went-back": (),
        "cannot-go-back": (),
        "not-now": (),
        "silence": (),
        "silence-warning": (),
        "silence-alarm": (),
        "stopped": (),
        "halted": ("reason",),
        "going-on": (),
        "device-lost": ("device", "reason"),
        "device-found": ("device",),
        "blocked": ("device",),
        # method, readings, verdicts
        "method": ("method", "cylinder", "reason"),
        "method-refused": ("reason",),
        "target": ("stop_by", "target"),
        "target-weight": ("target",),
        "charging-ended": ("outcome",),
        "judged": ("superheat", "subcooling"),
        "judged-superheat": ("superheat",),
        "judged-subcooling": ("subcooling",),
        "judged-target": ("target", "spread"),
        "verdict-add": (),
        "verdict-done": (),
        "verdict-proved": (),
        "verdict-end": ("reason",),
        "weighed": ("added", "left"),
        # the valve
        "valve-words": (),
        "ready-pulse": ("number", "top"),
        "ready-vapor": ("number", "top"),
        "ready-weigh": ("number", "stop"),
        "open-now": ("kind",),
        "valve-open": (),
        "not-ready": (),
        "close-planned": (),
        "close-limit": (),
        "close-pressure": (),
        "close-saturation": (),
        "close-weight": (),
        "close-asked": (),
        "close-noise": (),
        "close-silence": (),
        "close-device": (),
        "close-restart": (),
        "close-fault": (),
        "close-unsure": (),
        "close-again": (),
        "close-alarm": (),
        "closed-again": (),
        "closed-heard": (),
        "already-closed": (),
        "nothing-to-close": (),
        "once-more": ("answer",),
        # waiting
        "wait-settle": ("seconds",),
        "wait-final": ("seconds",),
        "waiting": ("seconds",),
    }
)
"""Cue to the names of its values."""
