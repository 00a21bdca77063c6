"""Kit: hear and speak. Knows no refrigerants; word lists are handed to it.

The records, ports and parsers below are light to import. What needs sound devices,
speech engines or numpy is imported from its own module: ``speech.engines``,
``speech.stream_listener``, ``speech.microphone``, ``speech.voice``,
``speech.players``, ``speech.pyttsx3_speaker``.
"""

from speech.language import ENGLISH, LANGUAGES, SPANISH, Language, LanguageId
from speech.names import Ambiguous, Name, name_forms, name_spoken, near, parse_name
from speech.numbers import digits_spoken, number_forms, parse_number
from speech.phrases import Phrases, load_phrases, shipped_phrases
from speech.ports import (
    DeviceError,
    Found,
    Heard,
    Listener,
    Lost,
    Pattern,
    Speaker,
    SpeechError,
    SpeechFileError,
)
from speech.typed import PrintingSpeaker, TypedListener
from speech.understanding import (
    Choice,
    Control,
    NameUnclear,
    Number,
    NumberOutOfRange,
    Unclear,
    Utterance,
    understand,
)
from speech.vocabulary import ALWAYS, CONTROLS, UNITS, NumberRange, Vocabulary

__all__ = [
    "ALWAYS",
    "CONTROLS",
    "ENGLISH",
    "LANGUAGES",
    "SPANISH",
    "UNITS",
    "Ambiguous",
    "Choice",
    "Control",
    "DeviceError",
    "Found",
    "Heard",
    "Language",
    "LanguageId",
    "Listener",
    "Lost",
    "Name",
    "NameUnclear",
    "Number",
    "NumberOutOfRange",
    "NumberRange",
    "Pattern",
    "Phrases",
    "PrintingSpeaker",
    "Speaker",
    "SpeechError",
    "SpeechFileError",
    "TypedListener",
    "Unclear",
    "Utterance",
    "Vocabulary",
    "digits_spoken",
    "load_phrases",
    "name_forms",
    "name_spoken",
    "near",
    "number_forms",
    "parse_name",
    "parse_number",
    "shipped_phrases",
    "understand",
]
