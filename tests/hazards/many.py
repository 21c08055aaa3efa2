"""Thousands of drawn cases, on all processors, in batches that can be taken up again.

    python tests/hazards/many.py                 100,000 in process and 1,000 by the command line
    python tests/hazards/many.py --cases 5000 --plans 50

What is done is kept in `build/hazards-state.json`, so that a run which was broken off goes on where it was;
a change of the program or of the proof begins anew. The figures go to `build/hazards.json`.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "unit"))
sys.path.insert(0, str(Path(__file__).resolve().parent))
from by_command import by_command
from held_to import breaches
from through import Outcome, through, told_not_set

ROOT = Path(__file__).resolve().parents[2]
STATE, FIGURES = ROOT / "build" / "hazards-state.json", ROOT / "build" / "hazards.json"
BATCH = {"cases": 250, "plans": 10}
SHOWN = 20


@dataclass
class Tally:
    """What became of many cases: how they ended, what they were like, what did not hold, how long it took."""

    ended: Counter[str] = field(default_factory=Counter)
    were: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    spent_s: float = 0.0

    @property
    def count(self) -> int:
        return sum(self.ended.values())

    def data(self) -> dict[str, Any]:
        """Return the tally as plain data."""
        ended, were = dict(sorted(self.ended.items())), dict(sorted(self.were.items()))
        return {"ended": ended, "were": were, "wrong": self.wrong, "spent_s": round(self.spent_s, 1)}

    def add(self, other: Tally) -> None:
        self.ended += other.ended
        self.were += other.were
        self.wrong += other.wrong
        self.spent_s += other.spent_s


def features(outcome: Outcome) -> Iterator[str]:
    """Yield what a case was like, so that nobody takes an empty proof for one."""
    if outcome.end == "issued" and outcome.screening is not None:
        yield from (f"issued, {part} withheld" for part in outcome.screening.withheld)
        yield f"issued, {outcome.screening.outcome}"
        yield f"issued, fluid care {outcome.screening.fluid_care}"
        if outcome.plan is not None and outcome.plan.race.intakes:
            yield "issued, with intakes"
            if any(intake.got_from == "crew" for intake in outcome.plan.race.intakes):
                yield "issued, from a crew"
        if outcome.plan is not None and outcome.plan.menu is not None:
            yield "issued, with a menu"
            yield from (f"issued, with a menu, {part} withheld" for part in outcome.screening.withheld)
        if outcome.plan is not None and outcome.plan.time_struck:
            yield "issued, times struck"
        yield from (f"issued, hold {how}" for how in outcome.health.lifts)
        if outcome.screening.minor:
            yield "issued, under 18"
        if outcome.after is not None:
            yield f"changed, then {outcome.after.end}"
        if outcome.drawn.typed["wishes"]["protocol"].endswith(".toml"):
            yield "issued, own protocol"
    if outcome.screening is not None:
        yield f"screened, {outcome.screening.outcome}"
    if outcome.late is not None:
        yield "late flag"
        if outcome.screening is not None and outcome.screening.may_issue:
            yield "late flag after issue"
    yield from (f"a hold met {how}" for how in outcome.health.lifts)
    if outcome.health.spoilt:
        yield f"answers spoilt: {outcome.health.spoilt}"
    yield from {f"{outcome.end} by {code}" for code in outcome.codes if outcome.end != "crash"}


def batch(run: Callable[[int], Outcome], seeds: range) -> Tally:
    """Take the cases of some seeds through, and hold each to every check."""
    tally, began_s = Tally(), time.perf_counter()
    for seed in seeds:
        outcome = run(seed)
        tally.ended[outcome.end] += 1
        tally.were.update(features(outcome))
        tally.wrong += breaches(outcome)
    tally.spent_s = time.perf_counter() - began_s
    return tally


def in_process(seeds: range) -> Tally:
    """Take cases through without Typst and without the solver."""
    with told_not_set():
        return batch(through, seeds)


def end_to_end(seeds: range) -> Tally:
    """Take cases through the command line, with solver and paper, and read the paper back."""
    with tempfile.TemporaryDirectory() as folder:
        return batch(partial(by_command, folder=Path(folder)), seeds)


KINDS: dict[str, Callable[[range], Tally]] = {"cases": in_process, "plans": end_to_end}


def tallied(kind: str, seeds: range, *, workers: int | None = None) -> Iterator[tuple[int, Tally]]:
    """Yield the tally of each batch, in order, with the seed after it; batches run beside one another."""
    step = BATCH[kind]
    batches = [range(at, min(at + step, seeds.stop)) for at in range(seeds.start, seeds.stop, step)]
    with ProcessPoolExecutor(workers or os.cpu_count(), mp_context=get_context("spawn")) as pool:
        for done, tally in zip(batches, pool.map(KINDS[kind], batches), strict=True):
            yield done.stop, tally


def whole(kind: str, count: int) -> Tally:
    """Return the tally of the first so many seeds."""
    tally = Tally()
    for _, one in tallied(kind, range(count)):
        tally.add(one)
    return tally


# A long run, which may be broken off.


def digest() -> str:
    """Return a digest of the program and of this proof: with another one nothing is taken up again."""
    files = [p for folder in ("src/provand", "tests/hazards") for p in sorted((ROOT / folder).rglob("*"))]
    kept = [path for path in files if path.suffix in (".py", ".toml", ".typ", ".css", ".js")]
    return hashlib.sha256(b"".join(path.read_bytes() for path in kept)).hexdigest()[:16]


def state_of(path: Path, made_by: str) -> dict[str, Any]:
    """Return what an earlier run did, or nothing where there was none or the program has changed."""
    if path.exists():
        state: dict[str, Any] = json.loads(path.read_text("utf-8"))
        if state["digest"] == made_by:
            return state
    return {"digest": made_by, "done": dict.fromkeys(KINDS, 0), "tally": {kind: {} for kind in KINDS}}


def kept(path: Path, state: dict[str, Any]) -> None:
    """Write the state aside, then in place of the old one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    aside = path.with_suffix(".new")
    aside.write_text(json.dumps(state, indent=1), "utf-8")
    aside.replace(path)


def tally_of(data: dict[str, Any]) -> Tally:
    """Return a tally read back from a state."""
    if not data:
        return Tally()
    return Tally(Counter(data["ended"]), Counter(data["were"]), list(data["wrong"]), data["spent_s"])


def run(
    kind: str, count: int, state: dict[str, Any], path: Path, say: Callable[[str], None] = print
) -> Tally:
    """Take `count` cases of a kind through, from where an earlier run broke off, and keep each batch."""
    tally, first = tally_of(state["tally"][kind]), state["done"][kind]
    began_s = time.perf_counter()
    for done, one in tallied(kind, range(first, count)) if first < count else ():
        tally.add(one)
        state["done"][kind], state["tally"][kind] = done, tally.data()
        kept(path, state)
        left_s = (time.perf_counter() - began_s) / (done - first) * (count - done)
        say(f"{kind}: {done:,} of {count:,}, {len(tally.wrong)} wrong, about {left_s / 60:.0f} min to go")
    return tally


def told(kind: str, tally: Tally) -> Iterable[str]:
    """Yield the figures of a tally in words."""
    ends = ", ".join(f"{count:,} {end}" for end, count in sorted(tally.ended.items()))
    hours = f"{tally.spent_s / 3600:.2f} hours of work"
    yield f"{kind}: {tally.count:,} ({ends}); {len(tally.wrong)} wrong; {hours}"
    yield from tally.wrong[:SHOWN]


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--cases", type=int, default=100_000)
    asked.add_argument("--plans", type=int, default=1_000)
    counts = vars(asked.parse_args())
    state, began_s = state_of(STATE, digest()), time.perf_counter()
    tallies = {kind: run(kind, counts[kind], state, STATE) for kind in KINDS}
    figures = {kind: tally.data() | {"count": tally.count} for kind, tally in tallies.items()}
    hours = sum(tally.spent_s for tally in tallies.values()) / 3600
    whole_run = {"digest": state["digest"], "work_h": round(hours, 3), **figures}
    FIGURES.write_text(json.dumps(whole_run, indent=1, sort_keys=True), "utf-8")
    for kind, tally in tallies.items():
        print("\n".join(told(kind, tally)))
    took_h = (time.perf_counter() - began_s) / 3600
    print(f"this run took {took_h:.2f} hours; figures: {FIGURES.relative_to(ROOT)}")
    return 1 if any(tally.wrong for tally in tallies.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
