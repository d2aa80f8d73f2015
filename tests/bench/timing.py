"""Timing that a busy machine disturbs least: the best of several runs."""

import time
from collections.abc import Callable


def best_of(runs: int, act: Callable[[], object]) -> float:
    """Shortest time of ``act`` in seconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        act()
        times.append(time.perf_counter() - start)
    return min(times)


def line(what: str, ours: float, floor: float, target: float) -> str:
    """One line of the report: ours, the reference, their ratio and what was aimed at."""
    ratio = ours / floor
    verdict = "met" if ratio <= target else "NOT MET"
    return f"{what:58} {ours * 1000:8.1f} ms  {floor * 1000:8.1f} ms  {ratio:6.2f}  ≤ {target:<5} {verdict}"
