"""What a simulated technician says, in the language of the job."""

from collections.abc import Mapping

from speech import LANGUAGES, Language, LanguageId, shipped_phrases

ANSWERS: Mapping[LanguageId, Mapping[str, str]] = {
    "en": {
        "yes": "affirmative",
        "no": "negative",
        "done": "all done",
        "ready": "i am ready",
        "closed": "fully shut",
        "opened": "flowing",
        "unknown": "i do not know",
        "continue": "continue",
        "finish": "finish",
    },
    "es": {
        "yes": "afirmativo",
        "no": "negativo",
        "done": "hecho",
        "ready": "estoy listo",
        "closed": "cerrada del todo",
        "opened": "fluyendo",
        "unknown": "no lo sé",
        "continue": "continuar",
        "finish": "terminar",
    },
}
"""Control word to what is said for it."""


def interjection(words: str, language: Language) -> str:
    """Give a scenario's English interjection in the language of the job."""
    if language.id == "en":
        return words
    control = shipped_phrases("en").control_of(LANGUAGES["en"].tokens(words))
    if control is None:
        return words
    return shipped_phrases(language.id).controls[control][0]
