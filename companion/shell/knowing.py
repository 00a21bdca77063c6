"""Read everything the engine may know, once, from the packaged files."""

from checklists import load_translated
from companion.job.know import Know
from companion.shell.dial_scales import dial_scales
from companion.shell.knowledge_files import read_knowledge
from speech import LanguageId


def read_know(language: LanguageId = "en") -> Know:
    """Read the tables and the checklists, these in the technician's language.

    Raises
    ------
    TableError, ChecklistError
        If a file is broken; the message names every fault with its cure.
    """
    return Know(
        knowledge=read_knowledge(),
        checklists=load_translated(language).by_id,
        scales=dial_scales(),
    )
