"""Write files for people: whole or not at all."""

import os
from pathlib import Path


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file through a temporary one beside it, synced, then renamed."""
    data = content.encode() if isinstance(content, str) else content
    temporary = path.with_name(f".{path.name}.part")
    with temporary.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    temporary.rename(path)
