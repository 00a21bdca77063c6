"""``python3 -m companion``: sets itself up on the first run from a clone."""

import multiprocessing

from companion._bootstrap import NEEDED, ensure

if __name__ == "__main__":
    ensure(NEEDED)
    multiprocessing.freeze_support()

    from companion.cli import main

    raise SystemExit(main())
