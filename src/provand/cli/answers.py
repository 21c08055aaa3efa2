"""The commands that keep health answers: `screen`, `letter`, `reply`, `release`, `assent`."""

from __future__ import annotations

import importlib
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from provand.cli.options import DAY, HEALTH, AsJson, AsOf, CaseFile, LedgerFile, day_of

answers = typer.Typer(rich_markup_mode="markdown")

OnDay = Annotated[
    datetime | None, typer.Option("--on", formats=DAY, help="The day of it.", show_default="--as-of")
]
About = Annotated[
    str,
    typer.Option("--about", metavar="IDS", help="What it is about: ids of questions, or a medicine listed."),
]
KeptBy = Annotated[
    str | None,
    typer.Option("--kept-by", metavar="NAME", help="Who records it.", show_default="the practitioner"),
]


def _work() -> Any:
    return importlib.import_module("provand.cli.health")


def _days(as_of: datetime | None, on: datetime | None) -> dict[str, date]:
    today = day_of(as_of)
    return {"as_of": today, "on": on.date() if on else today}


@answers.command(rich_help_panel=HEALTH, epilog="Example: `provand screen my-case.toml --as-of 2026-11-25`")
def screen(
    case: CaseFile,
    *,
    source: Annotated[
        Path | None,
        typer.Option(
            "--from", metavar="FILE", help="Add the entries of another health file.", show_default=False
        ),
    ] = None,
    everything: Annotated[bool, typer.Option("--all", help="Ask every question anew.")] = False,
    by: Annotated[
        str | None,
        typer.Option("--by", metavar="NAME", help="The athlete, who answers.", show_default="asked"),
    ] = None,
    on: OnDay = None,
    as_of: AsOf = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Ask the health questions that are missing, old or due in race week, and say what they come to.

    Each answer is saved at once. Ends with status 3 on hold.
    """
    options = _days(as_of, on)
    if source is not None:
        _work().screen_from(case, source, as_of=options["as_of"], ledger=ledger, as_json=as_json)
    else:
        _work().screen_here(case, everything=everything, by=by, ledger=ledger, as_json=as_json, **options)


@answers.command(
    rich_help_panel=HEALTH,
    epilog='Example: `provand letter my-case.toml --to "Dr Invented" --about heart --out letter.pdf`',
)
def letter(
    case: CaseFile,
    *,
    to: Annotated[
        str, typer.Option("--to", metavar="NAME", help="The clinician it goes to.", show_default=False)
    ],
    out: Annotated[
        Path,
        typer.Option("--out", metavar="FILE", help="The PDF; never overwrites.", show_default=False),
    ],
    about: Annotated[
        str | None,
        typer.Option(
            "--about",
            metavar="IDS",
            help="What it is about: ids of questions, or a medicine listed; commas between.",
            show_default="all that needs a letter now",
        ),
    ] = None,
    paper: Annotated[str, typer.Option("--paper", metavar="PAPER", help="a4 or letter.")] = "a4",
    kept_by: KeptBy = None,
    as_of: AsOf = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Make a letter to a clinician, ready to sign, with a form for the reply; record that it was sent."""
    today = _days(as_of, None)["as_of"]
    _work().letter(
        case, to, out, about=about, paper=paper, kept_by=kept_by, as_of=today, ledger=ledger, as_json=as_json
    )


@answers.command(
    rich_help_panel=HEALTH,
    epilog='Example: `provand reply my-case.toml --about injury --says "cleared with limits" '
    '--limits caffeine,sodium --by "Dr Invented" --on 2026-11-24`',
)
def reply(
    case: CaseFile,
    *,
    about: About,
    says: Annotated[
        str,
        typer.Option(
            "--says",
            metavar="WORDS",
            help="cleared, cleared with limits, not cleared, or none where no reply came.",
            show_default=False,
        ),
    ],
    by: Annotated[
        str,
        typer.Option(
            "--by", metavar="NAME", help="The clinician who replied, or was asked.", show_default=False
        ),
    ],
    limits: Annotated[
        str,
        typer.Option(
            "--limits",
            metavar="PARTS",
            help="caffeine, sodium, fluid, grams, fructose, loading; commas between.",
        ),
    ] = "",
    until: Annotated[
        datetime | None,
        typer.Option("--until", formats=DAY, help="The last day it counts.", show_default="12 weeks"),
    ] = None,
    kept_by: KeptBy = None,
    on: OnDay = None,
    as_of: AsOf = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Record what a clinician replied, and say what it lifts. A reply before its letter is refused."""
    given = {"about": about, "says": says, "limits": limits, "by": by, "kept_by": kept_by}
    last = until.date() if until else None
    _work().reply(case, given, until=last, ledger=ledger, as_json=as_json, **_days(as_of, on))


@answers.command(
    rich_help_panel=HEALTH,
    epilog='Example: `provand release my-case.toml --about injury --by "Robin Example" '
    '--role practitioner --why "a blister, healed" --on 2026-11-24`',
)
def release(
    case: CaseFile,
    *,
    about: About,
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who lifts the hold.", show_default=False)],
    why: Annotated[str, typer.Option("--why", metavar="WORDS", help="The reason.", show_default=False)],
    role: Annotated[
        str, typer.Option("--role", metavar="ROLE", help="practitioner or assistant.", show_default=False)
    ],
    on: OnDay = None,
    as_of: AsOf = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Lift a hold by hand, with name and reason, where its row allows it; else say why not."""
    given = {"about": about, "by": by, "why": why, "role": role}
    _work().release(case, given, ledger=ledger, as_json=as_json, **_days(as_of, on))


@answers.command(
    rich_help_panel=HEALTH,
    epilog='Example: `provand assent my-case.toml --who guardian --by "Gil Guardian" --on 2026-11-24`',
)
def assent(
    case: CaseFile,
    *,
    who: Annotated[
        str, typer.Option("--who", metavar="WHO", help="guardian or athlete.", show_default=False)
    ],
    by: Annotated[
        str, typer.Option("--by", metavar="NAME", help="Who consents, by name.", show_default=False)
    ],
    on: OnDay = None,
    as_of: AsOf = None,
    ledger: LedgerFile = None,
    as_json: AsJson = False,
) -> None:
    """Record a consent: under 18 a guardian's and the athlete's own, at 18 the athlete's anew."""
    _work().assent(case, {"who": who, "by": by}, ledger=ledger, as_json=as_json, **_days(as_of, on))
