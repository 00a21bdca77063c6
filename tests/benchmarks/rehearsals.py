"""Every scenario with sound, on several seeds: how the spoken values fared.

.venv/bin/python tests/benchmarks/rehearsals.py --seeds 3 [--noise-db 15]
"""

import argparse
import json
import subprocess
import sys
import tempfile

from companion.shell.rehearsal.scenario import scenario_names


def main() -> None:
    """Play them and print a row each, then the sums."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1, help="the first seed")
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--noise-db", type=float)
    given = parser.parse_args()
    total = {"accepted_right": 0, "accepted_wrong": 0, "asked_again": 0}
    for name in scenario_names():
        for seed in range(given.seed, given.seed + given.seeds):
            found = play(name, seed, given.noise_db)
            for key in total:
                total[key] += found["readings"][key]
            print(
                f"{name:16} seed {seed}: {'finished' if found['finished'] else 'NOT DONE'}"
                f" ({found['outcome']}), {found['readings']}, charge "
                f"{found['charge_error_pct']:+.1f} %, {found['job_s'] / 60:.0f} min in "
                f"{found['wall_s']:.0f} s ({found['job_s'] / found['wall_s']:.0f} x)",
                flush=True,
            )
    heard = total["accepted_right"] + total["accepted_wrong"]
    print(
        f"all: {total}; of {heard} accepted {total['accepted_wrong']} wrong; asked again "
        f"{total['asked_again'] / max(1, heard):.2f} times a value"
    )


def play(name: str, seed: int, noise_db: float | None) -> dict[str, object]:
    """Play one and give its result."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "companion", "rehearse", "--json"]
        command += ["--scenario", name, "--seed", str(seed), "--out", folder]
        if noise_db is not None:
            command += ["--noise-db", str(noise_db)]
        done = subprocess.run(  # noqa: S603 - our own command
            command, capture_output=True, text=True, check=False
        )
        if not done.stdout:
            raise SystemExit(done.stderr)
        result: dict[str, object] = json.loads(done.stdout)
    return result


if __name__ == "__main__":
    main()
