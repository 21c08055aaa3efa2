"""Ratios, never bare times: what is measured beside its baseline, in turns within one run."""

from __future__ import annotations

import json
import os
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from statistics import median
from typing import NamedTuple


class Ratio(NamedTuple):
    """A named ratio: what it is measured against, and how high it may be."""

    name: str
    ratio: float
    baseline: str
    goal: float

    @property
    def holds(self) -> bool:
        return self.ratio <= self.goal

    def as_data(self) -> dict[str, str | float | bool]:
        """Return the ratio as plain data, for the file."""
        return {**self._asdict(), "holds": self.holds}


def run_s(command: Sequence[str], **extra_env: str) -> float:
    """Run a command, its output unseen, and return how many seconds it took; raise where it fails.

    Bytecode is written, whatever the shell says: a user's second run is what counts.
    """
    env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"} | extra_env
    start_s = time.perf_counter()
    subprocess.run(command, check=True, env=env, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start_s


def medians_s(tasks: Mapping[str, Callable[[], float]], rounds: int) -> dict[str, float]:
    """Run every task once in each round, in turns, and return the median of each one's seconds.

    A round before the first is not counted: it fills the caches.
    """
    for task in tasks.values():
        task()
    times_s: dict[str, list[float]] = {name: [] for name in tasks}
    for _ in range(rounds):
        for name, task in tasks.items():
            times_s[name].append(task())
    return {name: median(taken_s) for name, taken_s in times_s.items()}


def write(ratios: Sequence[Ratio], path: Path) -> None:
    """Write the ratios as a list of objects."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps([ratio.as_data() for ratio in ratios], indent=2) + "\n", "utf-8")


def table(ratios: Sequence[Ratio]) -> str:
    """Return the ratios as lines of text."""
    wide = max(len(ratio.name) for ratio in ratios)
    return "\n".join(
        f"{ratio.name:<{wide}}  {ratio.ratio:7.2f}  at most {ratio.goal:g}  "
        f"{'holds' if ratio.holds else 'FAILS'}  (1 is {ratio.baseline})"
        for ratio in ratios
    )
