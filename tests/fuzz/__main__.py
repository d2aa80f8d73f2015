"""Tries every intake with new examples, round after round, until the time is up or something breaks.

``python -m tests.fuzz --seconds 300``, on the database that DATABASE_URL names; ``make fuzz``.
"""

import argparse
import os
import subprocess
import sys
from time import monotonic

EXAMPLES = "10"  # times as many in a round as the suite tries
ROUND = [sys.executable, "-m", "pytest", "-q", "-x", "--no-header", "tests/fuzz"]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=300)
    left = parser.parse_args().seconds
    environment = {"HYPOTHESIS_PROFILE": "new", "FUZZ_TIMES": EXAMPLES} | os.environ
    end, rounds = monotonic() + left, 0
    while (left := end - monotonic()) > 0:
        try:
            done = subprocess.run(ROUND, env=environment, timeout=left, check=False)
        except subprocess.TimeoutExpired:
            break
        if done.returncode:
            return done.returncode
        rounds += 1
    print(f"The time is up: nothing broke in {rounds} whole rounds and the one that was cut short.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
