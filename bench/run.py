"""Measure the named ratios, print them, write them to `build/bench.json`; exit with 1 where one fails."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from statistics import median

from full_practice import full_practice
from live_edit import live_edit
from many_packs import many_packs
from measure import Ratio, medians_s, run_s, table, write
from menu import menu
from packs import packs
from schedule import race_schedule

ROOT = Path(__file__).resolve().parents[1]
BUILD = ROOT / "build"
TIMING = BUILD / "timing.json"
ROUNDS = 7

PROVAND = str(Path(sys.executable).with_name("provand"))
CASE = ROOT / "src" / "provand" / "demo" / "warm-hills" / "case.toml"
PLAN = [PROVAND, "plan", str(CASE), "--out", str(BUILD / "bench-plan"), "--as-of", "2026-11-25"]
IMPORTS = [sys.executable, "-c", "import numpy, scipy"]
HELP = [PROVAND, "--help"]
TWO_COMMANDS = [sys.executable, str(ROOT / "bench" / "two_commands.py"), "--help"]


def start_up() -> list[Ratio]:
    """Return what asking for help costs beside the smallest program of two commands."""
    taken_s = medians_s({"help": lambda: run_s(HELP), "two": lambda: run_s(TWO_COMMANDS)}, ROUNDS)
    return [
        Ratio(
            "provand --help", taken_s["help"] / taken_s["two"], "the --help of a two-command Typer file", 1.5
        )
    ]


def whole_plan() -> list[Ratio]:
    """Return what the demo plan costs beside importing NumPy and SciPy; print the solver's part."""
    solver_s: list[float] = []

    def plan() -> float:
        taken_s = run_s(PLAN, PROVAND_TIMING=str(TIMING))
        solver_s.append(json.loads(TIMING.read_text("utf-8"))["solver_s"])
        return taken_s

    taken_s = medians_s({"plan": plan, "imports": lambda: run_s(IMPORTS)}, ROUNDS)
    solver = median(solver_s) / taken_s["imports"]
    print(f"of the demo plan, the solver alone: {solver:.2f} imports of numpy and scipy")
    return [
        Ratio("the demo plan", taken_s["plan"] / taken_s["imports"], 'python -c "import numpy, scipy"', 25)
    ]


def main() -> int:
    """Measure everything."""
    ratios = [
        *start_up(),
        *whole_plan(),
        *race_schedule(),
        *menu(BUILD / "bench-menu"),
        *packs(ROUNDS),
        *many_packs(BUILD / "bench-many"),
        *live_edit(ROUNDS),
        *full_practice(BUILD / "bench-practice"),
    ]
    write(ratios, BUILD / "bench.json")
    print(table(ratios))
    return 0 if all(ratio.holds for ratio in ratios) else 1


if __name__ == "__main__":
    sys.exit(main())
