"""Read everything the engine may know, once, from the packaged files."""

from checklists import load_all
from companion.job.know import Know
from companion.shell.knowledge_files import read_knowledge


def read_know() -> Know:
    """Read the tables and the checklists.

    Raises
    ------
    TableError, ChecklistError
        If a file is broken; the message names every fault with its cure.
    """
    return Know(knowledge=read_knowledge(), checklists=load_all().by_id)
