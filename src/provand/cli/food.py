"""`new`, `check`, `plan`, `explain`, `items`, `demo`: from one case file to what people hold."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

from provand.case.ageing import ageing
from provand.case.case import Case
from provand.case.door import health_path, read_case
from provand.cli import say
from provand.cli.reading import case_files
from provand.finding import BadInput, Finding, Level, OnHold, as_data, find
from provand.larder.composition import Composition
from provand.larder.item import Item
from provand.larder.shelf import shelf
from provand.pack.voice import stop_words
from provand.pack.write import write_pack, write_safety
from provand.plan.document import Cleared, Plan
from provand.plan.draw_up import draw_up, draw_up_timed
from provand.plan.explain import chain, lines
from provand.plan.review import clear
from provand.protocol.own import Protocols
from provand.safety.screening import Screening, screen
from provand.units import clock, shown

DEMO = ("warm-hills", "club-runner", "first-timer", "on-hold", "treated-pressure")
TIMING = "PROVAND_TIMING"


def new(path: Path) -> None:
    """Write the starter case and its health answers; refuse to overwrite either."""
    health = health_path(path)
    standing = [p for p in (path, health) if p.exists()]
    if standing:
        raise BadInput(*(find("file.exists", str(p)) for p in standing))
    for target, name in ((path, "starter.toml"), (health, "starter.health.toml")):
        try:
            target.write_text(files("provand.case").joinpath(name).read_text("utf-8"), "utf-8")
        except OSError as error:
            raise BadInput(find("file.cannot_write", str(target), why=error.strerror or "unknown")) from error
    print(f"{path}: a case to edit; every key is explained.\n{health}: the health answers, apart.")
    print(f"It is an invented example. Next: provand check {path}")


class _Read(NamedTuple):
    """A case with its protocols, screened; and the reasons of the screening."""

    case: Case
    screening: Screening
    reasons: tuple[Finding, ...]
    protocols: Protocols


def _screened(path: Path, as_of: date) -> _Read:
    """Read the files of a case and screen it; every fault of all is told at once."""
    case, health, protocols = case_files(path, as_of)
    screening, reasons = screen(case, health, as_of=as_of)
    return _Read(case, screening, reasons, protocols)


def cleared_plan(path: Path, as_of: date) -> Plan:
    """Return the plan of a case, cleared; OnHold, with nothing of the plan, when anything holds it."""
    return cleared_plan_of(path, as_of).plan


def cleared_plan_of(path: Path, as_of: date) -> Cleared:
    """Return the same with the seal without which no piece is made of it."""
    case, screening, reasons, protocols = _screened(path, as_of)
    if not screening.may_issue:
        raise OnHold(*reasons)
    return clear(draw_up(case, screening, protocols=protocols, as_of=as_of), case, screening)


def check(path: Path, as_of: date, *, as_json: bool) -> None:
    """Say what is wrong, old or on hold; a plan is tried and thrown away: `plan` finds nothing new."""
    case, screening, reasons, protocols = _screened(path, as_of)
    found = ageing(case, as_of)
    if screening.may_issue:
        clear(draw_up(case, screening, protocols=protocols, as_of=as_of), case, screening)
    if as_json:
        say.data({"case": str(path), "outcome": screening.outcome, "findings": as_data([*found, *reasons])})
    else:
        print(f"{path}: readable, complete; screening: {screening.outcome}")
        say.findings([*found, *reasons])
    if not screening.may_issue:
        raise SystemExit(OnHold.status)


class Made(NamedTuple):
    """A plan as it was drawn, the same cleared, the seconds that the solver took, and what it was made of."""

    drawn: Plan
    cleared: Cleared
    solver_s: float
    read: _Read


def cleared_or_safety(path: Path, out: Path, as_of: date, *, as_json: bool) -> Made:
    """Return the plan of a case, cleared; on hold write the safety page alone into `out` and raise OnHold."""
    read = case, screening, reasons, protocols = _screened(path, as_of)
    try:
        if not screening.may_issue:
            raise OnHold(*reasons)
        drawn, solver_s = draw_up_timed(case, screening, protocols=protocols, as_of=as_of)
        return Made(drawn, clear(drawn, case, screening), solver_s, read)
    except OnHold:
        written = write_safety(case, out)
        if not as_json:
            print(f"{out}: the safety page, and nothing else.")
            _list_files(written)
        raise


def plan(path: Path, out: Path, as_of: date, *, as_json: bool) -> None:
    """Make the plan and all that people hold; on hold the safety page alone, status 3."""
    drawn, cleared, solver_s, _ = cleared_or_safety(path, out, as_of, as_json=as_json)
    written = write_pack(cleared, out)
    _record_solver_time(solver_s)
    if as_json:
        say.data(
            {
                "code": drawn.code,
                "solver_proven": drawn.race.proven,
                "files": [str(p) for p in written],
                "findings": as_data(drawn.findings),
            }
        )
        return
    _key_lines(drawn)
    _list_files(written)


def _record_solver_time(solver_s: float) -> None:
    """Write the solver's seconds where the environment names a file, so that they can be set apart."""
    target = os.environ.get(TIMING)
    if target:
        Path(target).write_text(json.dumps({"solver_s": solver_s}), "utf-8")


def _list_files(written: Iterable[Path]) -> None:
    for path in written:
        print(f"  {path}")


def _key_lines(plan: Plan) -> None:
    """Print what a practitioner looks at first."""
    race = plan.race
    stamp = "  (invented example)" if plan.case.invented else ""
    print(f"{plan.case.athlete.name}, {plan.case.race.name}: plan {plan.code}{stamp}")
    for stop in race.stops:
        where = f"km {stop.at_m / 1000:.1f}" + (f", {stop.station}" if stop.station else "")
        when = "" if plan.time_struck else f"{clock(stop.goal_s)}  "
        print(f"  {when}{where}: {stop_words(stop, plan.case)}")
    print(f"  {race.drinking.sentence}")
    for name in ("race.carb_g_per_race", "race.carb_g_per_h", "ceiling.fluid_ml_per_race"):
        figure = plan.figure(name)
        if figure is not None:
            print(f"  {LABELS[name]}: {figure.says()}")
    for finding in plan.findings:
        if finding.level in (Level.WARN, Level.WITHHELD, Level.HOLD, Level.BREACH):
            print(f"  {finding.level.value}: {finding.line()}")


LABELS = {
    "race.carb_g_per_race": "carbohydrate planned",
    "race.carb_g_per_h": "that is, on average",
    "ceiling.fluid_ml_per_race": "fluid, never above",
}


def explain(path: Path, figure: str | None, as_of: date, *, as_json: bool) -> None:
    """Print the chain of a figure, or the list of figures."""
    drawn = cleared_plan(path, as_of)
    if figure is None:
        if as_json:
            say.data([f.model_dump(mode="json") for f in drawn.figures])
            return
        table = say.columns("figure", "value", "made by")
        for each in drawn.figures:
            table.add_row(each.id, each.says(), f"{each.how}: {each.by}")
        say.table(table)
        return
    if as_json:
        say.data(
            [{"depth": link.depth, **link.figure.model_dump(mode="json")} for link in chain(drawn, figure)]
        )
        return
    print("\n".join(lines(drawn, figure)))


def items(item: str | None, case: Path | None, as_of: date, *, as_json: bool) -> None:
    """List items with what one of each holds, or show one with its label."""
    at_hand = {each.id: each for each in shelf()}
    if case is not None:
        at_hand |= {each.id: each for each in read_case(case, as_of=as_of, past=True).items}
    if item is not None and item not in at_hand:
        raise BadInput(
            find("cli.unknown_name", item, kind="item", near="There are " + ", ".join(at_hand) + ".")
        )
    chosen = [at_hand[item]] if item else list(at_hand.values())
    if as_json:
        say.data(
            [{**each.model_dump(mode="json"), "holds": each.holds.model_dump(mode="json")} for each in chosen]
        )
        return
    if item:
        _show_item(chosen[0])
        return
    table = say.columns("id", "name", "carbohydrate", "fructose", "sodium", "caffeine", "contains")
    for each in chosen:
        holds = each.holds
        table.add_row(
            each.id, each.name, _amount(holds.carb_g, "g"), _amount(holds.fructose_g, "g"),
            _amount(holds.sodium_mg, "mg"), _amount(holds.caffeine_mg, "mg"), ", ".join(each.contains) or "-",
        )  # fmt: skip
    say.table(table)
    print("Generic items: read your own pack. An allergen that is not stated absent counts as contained.")


def _amount(value: object, unit: str) -> str:
    mid = getattr(value, "mid", None)
    return "unknown" if mid is None else f"{shown(mid, unit)} {unit}"


def _show_item(item: Item) -> None:
    print(f"{item.id}: {item.name}, {item.texture}")
    for name in Composition.model_fields:
        value = getattr(item.holds, name)
        unit = name.rsplit("_", 1)[1]
        spread = (
            ""
            if value is None or value.is_single
            else f" ({shown(value.low, unit)} to {shown(value.high, unit)})"
        )
        print(f"  {name.rsplit('_', 1)[0]:10} {_amount(value, unit)}{spread}")
    print(f"  contains   {', '.join(item.contains) or '-'}\n  free from  {', '.join(item.free_from) or '-'}")
    if item.ingredients_note:
        print(f"  {item.ingredients_note}")


def demo(out: Path, as_of: date) -> None:
    """Plan the five demo cases; print the first one's key lines and one line for each other.

    A case that cannot be planned on that day is told with all that has aged; the status is then 2.
    """
    failed = False
    for name in DEMO:
        folder = out / name
        try:
            case, screening, reasons, protocols = _screened(_demo_case(name), as_of)
        except BadInput as error:
            print(f"\n{name}: not planned")
            say.findings(error.findings)
            failed = True
            continue
        if not screening.may_issue:
            write_safety(case, folder)
            print(f"\n{name}: on hold, so the safety page alone: {folder}")
            say.findings(reasons)
            continue
        try:
            drawn = draw_up(case, screening, protocols=protocols, as_of=as_of)
            write_pack(clear(drawn, case, screening), folder)
        except OnHold as error:
            write_safety(case, folder)
            print(f"\n{name}: on hold, so the safety page alone: {folder}")
            say.findings(error.findings)
            continue
        if name == DEMO[0]:
            _key_lines(drawn)
        else:
            print(f"\n{name}: plan {drawn.code}, {len(drawn.race.stops)} stops")
        print(f"  files: {folder}")
    if failed:
        raise SystemExit(BadInput.status)


def _demo_case(name: str) -> Path:
    return Path(str(files("provand").joinpath("demo", name, "case.toml")))
