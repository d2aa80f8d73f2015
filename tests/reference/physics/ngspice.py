"""Runs ngspice, a general-purpose circuit simulator, on a netlist and reads its measurements back.

The netlists that use this are written by hand beside each case and share no code with what they check.
"""

import os
import re
import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

_MEASUREMENT = re.compile(r"^(?P<name>\w+)\s*=\s*(?P<value>[-+.\deE]+)", re.MULTILINE)


def require_ngspice() -> str:
    """The simulator's path. Without it the test is skipped, saying so; in CI it fails instead."""
    found = shutil.which("ngspice")
    if found:
        return found
    if os.environ.get("CI") == "true":
        pytest.fail("ngspice is not installed, and CI must run the circuit simulator. Install ngspice.")
    pytest.skip("ngspice is not installed: the circuit simulator's checks were not run")


def simulate(netlist: str) -> dict[str, float]:
    """Run a netlist in batch mode; the values of its ``.meas`` lines by name."""
    command = require_ngspice()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "circuit.cir"
        path.write_text(netlist, encoding="ascii")
        done = subprocess.run(
            [command, "-b", str(path)], capture_output=True, text=True, timeout=120, check=False, cwd=folder
        )
    measured = {m["name"]: float(m["value"]) for m in _MEASUREMENT.finditer(done.stdout)}
    if done.returncode or not measured:
        raise AssertionError(f"ngspice failed on:\n{netlist}\n{done.stdout}\n{done.stderr}")
    return measured
