"""Write what people hold into a folder: all of it or nothing."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from provand.case.case import Case
from provand.finding import BadInput, CannotWork, find
from provand.pack.dates import race_calendar
from provand.pack.safety import race_facts, safety_page
from provand.pack.sheet import caution_numbers, plan_sheet
from provand.pack.strip import course_strip
from provand.pack.svg import written
from provand.pack.typeset import Paper
from provand.pack.voice import no_weights
from provand.pack.wrist import strip_sheet
from provand.plan.document import Cleared
from provand.record import canonical

NAMES = (
    "plan.json", "plan.pdf", "plan-letter.pdf", "strip.pdf", "race.ics", "safety.pdf", "course-strip.svg",
)  # fmt: skip
"""Every file that we write; a folder with any other file is not ours to replace."""


def write_pack(cleared: Cleared, out: Path, *, paper: Paper | None = None) -> tuple[Path, ...]:
    """Write everything that people hold of a cleared plan into `out`, and return the paths.

    `paper` chooses one paper; without it the plan comes on both, the rest on A4 (the strip's sheet fits
    either). `plan.json` is the practitioner's record and holds every figure; with weights withheld no other
    file tells one. Raises BadInput for a folder that holds anything else, CannotWork when writing fails; then
    nothing has changed.
    """
    if not isinstance(cleared, Cleared):
        raise TypeError("only a cleared plan is handed out")
    plan, case = cleared.plan, cleared.plan.case
    first: Paper = paper or "a4"
    made: dict[str, bytes] = {"plan.json": canonical(plan)}
    if paper != "letter":
        made["plan.pdf"] = plan_sheet(plan, "a4")
    if paper != "a4":
        made["plan-letter.pdf"] = plan_sheet(plan, "letter")
    made["strip.pdf"] = strip_sheet(plan, first)
    made["race.ics"] = race_calendar(plan)
    made["safety.pdf"] = safety_page(case.practitioner, race_facts(case), first)
    made["course-strip.svg"] = written(course_strip(plan, caution_numbers(plan)), "alone").encode("utf-8")
    if "grams" in plan.withheld:
        for name in ("race.ics", "course-strip.svg"):
            no_weights([made[name].decode("utf-8")], name)
    return _placed(made, out)


def write_safety(case: Case, out: Path, *, paper: Paper = "a4") -> tuple[Path, ...]:
    """Write the safety page alone, which may always be handed out; the same refusals as `write_pack`."""
    return _placed({"safety.pdf": safety_page(case.practitioner, race_facts(case), paper)}, out)


def _placed(made: dict[str, bytes], out: Path) -> tuple[Path, ...]:
    """Put files into a new folder beside `out` and rename it: nothing half-written ever stands at `out`."""
    _refuse_foreign(out)
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=out.parent, prefix=f".{out.name}-") as aside:
            fresh, old = Path(aside) / "new", Path(aside) / "old"
            fresh.mkdir()
            for name, data in made.items():
                (fresh / name).write_bytes(data)
            _swap(fresh, out, old)
    except OSError as error:
        raise CannotWork(find("pack.disk", str(out), why=error.strerror or "unknown")) from error
    return tuple(out / name for name in made)


def _swap(fresh: Path, out: Path, old: Path) -> None:
    stood = out.exists()
    if stood:
        out.rename(old)
    try:
        fresh.rename(out)
    except OSError:
        if stood:
            old.rename(out)
        raise
    if stood:
        shutil.rmtree(old)


def _refuse_foreign(out: Path) -> None:
    if not out.exists() and not out.is_symlink():
        return
    if not out.is_dir() or out.is_symlink():
        raise BadInput(find("pack.not_a_folder", str(out)))
    foreign = sorted(path.name for path in out.iterdir() if path.name not in NAMES or not path.is_file())
    if foreign:
        raise BadInput(find("pack.not_ours", str(out), name=foreign[0]))
