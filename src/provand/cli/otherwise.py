"""`otherwise`: what to do if things go otherwise than the plan says, computed beforehand."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from provand.case.door import in_folder
from provand.case.files import read_toml
from provand.cli import say
from provand.cli.reading import case_files
from provand.finding import OnHold
from provand.pack.otherwise import schedule_words, sentences_of
from provand.plan.document import Cleared
from provand.plan.draw_up import draw_up
from provand.plan.review import clear
from provand.plan.scenarios import NoScenario, Scenario, scenarios
from provand.plan.standing import Standing
from provand.safety.screening import screen


def standing_of(path: Path, as_of: date) -> Standing:
    """Return the cleared plan of a case file with all that it was made of; OnHold where anything holds it."""
    read = case_files(path, as_of)
    screening, reasons = screen(read.case, read.health, as_of=as_of)
    if not screening.may_issue:
        raise OnHold(*reasons)
    drawn = draw_up(read.case, screening, protocols=read.protocols, as_of=as_of)
    cleared: Cleared = clear(drawn, read.case, screening)
    beside = in_folder(path.parent)
    return Standing(cleared, read_toml(path), read.case, screening, read.protocols, beside, as_of)


def otherwise(path: Path, as_of: date, *, as_json: bool) -> None:
    """List every scenario of a case with its line and the schedule that it stands for."""
    standing = standing_of(path, as_of)
    made = scenarios(standing)
    if as_json:
        say.data(made.model_dump(mode="json"))
        return
    print(f"Plan {made.plan}, if things go otherwise:")
    for one in made.each:
        print(f"\n{one.title.text}")
        for line in _lines(standing, one):
            print(f"  {line}")


def _lines(standing: Standing, one: Scenario | NoScenario) -> Iterator[str]:
    if isinstance(one, NoScenario):
        yield "Left out: it cannot be planned."
        yield from sentences_of(one.says)
        yield from (finding.line() for finding in one.why)
        return
    yield " ".join(sentences_of(one.says))
    yield from sentences_of(one.also)
    yield from schedule_words(standing.plan, one)
