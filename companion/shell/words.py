"""The wording that the settings ask for."""

from companion.shell.settings import Settings
from companion.shell.wording import Wording, read_wording


def words_of(settings: Settings) -> Wording:
    """Read the sentences in the technician's language, units and manner."""
    return read_wording(
        settings.units, language=settings.language, speaking=settings.speaking
    )
