"""The pieces of a pack: what each is for, which files it writes, and what makes them.

A piece is added here and nowhere else: the commands, the pages and the ledger list what this list holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from provand.pack.after import finish_card
from provand.pack.book import menu_book
from provand.pack.crew import FOR_A_CREW, crew_sheet
from provand.pack.dates import race_calendar
from provand.pack.debrief import debrief_card
from provand.pack.guide import guide_card
from provand.pack.home import home_sheet
from provand.pack.hotel import hotel_card
from provand.pack.labels import LARGE, SMALL, Stock, label_sheets, packs
from provand.pack.large import large_print
from provand.pack.lock import has_room, lock_picture
from provand.pack.message import message, read_out
from provand.pack.night import ON_THE_NIGHT_CARD, night_card
from provand.pack.otherwise import otherwise_sheet
from provand.pack.phone import ON_THE_PHONE, phone_page
from provand.pack.relay import relay_sheet
from provand.pack.safety import race_facts, safety_page
from provand.pack.sheet import plan_sheet, strip_alone
from provand.pack.svg import written
from provand.pack.tongue import Tongue, spoken
from provand.pack.typeset import Paper
from provand.pack.watch import has_alert, watch_card
from provand.pack.waypoints import course_with_waypoints, has_places
from provand.pack.wrist import strip_sheet
from provand.plan.brought import own_bottles
from provand.plan.delays import Delays
from provand.plan.document import Plan
from provand.plan.scenarios import EVERY, ScenarioId, Scenarios

Piece = str
"""The id of a piece: `strip`."""
PDF, ICS, SVG, JSON = "application/pdf", "text/calendar", "image/svg+xml", "application/json"
TEXT, GPX, PNG, HTML = "text/plain", "application/gpx+xml", "image/png", "text/html"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class Making(NamedTuple):
    """What pieces are made from.

    `paper` chooses one paper; without it a sheet may come on both. A draft says so and carries no code.
    `sequence` and `earlier` are for the calendar: see `race_calendar`. `first_label` counts from 1: those
    before it are used up on the first sheet of labels. `later` is for the page for the phone, which says
    whom to ask where it is not there; without `scenarios` there is no sheet of them.
    """

    plan: Plan
    paper: Paper | None = None
    draft: bool = False
    sequence: int = 0
    earlier: tuple[bytes, ...] = ()
    first_label: int = 1
    later: Delays | None = None
    scenarios: Scenarios | None = None

    @property
    def one_paper(self) -> Paper:
        """The paper of a piece that comes on one alone: the one asked for, or the one of the language."""
        return self.paper or paper_of_language(spoken())


def paper_of_language(tongue: Tongue) -> Paper:
    """Return the paper that people who speak a language print on."""
    return "letter" if tongue.language.region == "US" else "a4"


Maker = Callable[[Making], bytes]


class Sheet(NamedTuple):
    """A file of a piece: its name, its kind and what it is; `is_for` says whose pack has one.

    `is_ready` says whether what it is made from was planned beforehand.
    What is `ours` is the practitioner's to read first, and stays in English whatever the athlete speaks.
    """

    name: str
    media_type: str
    says: str
    made: Maker
    is_for: Callable[[Plan], bool] = lambda plan: True
    in_drafts: bool = True
    is_ready: Callable[[Making], bool] = lambda making: True
    ours: bool = False


@dataclass(frozen=True, slots=True)
class PieceKind:
    """A piece: what it is for in the words of whoever ticks it, and its files in order."""

    id: Piece
    name: str
    says: str
    sheets: tuple[Sheet, ...]
    by_default: bool = False


def _has_kitchen_work(plan: Plan) -> bool:
    return plan.menu is not None or bool(own_bottles(plan.case, plan.race, plan.withheld))


def _tells_weights(plan: Plan) -> bool:
    return plan.menu is not None and "grams" not in plan.withheld


def _leaves_out(plan: Plan) -> bool:
    return plan.case.athlete.leaves_out


def _on(sheet: Callable[..., bytes], paper: Paper) -> Maker:
    """Return what makes a sheet on one paper."""
    return lambda making: sheet(making.plan, paper, draft=making.draft)


def _on_one(sheet: Callable[..., bytes]) -> Maker:
    """Return what makes a sheet on the paper asked for."""
    return lambda making: sheet(making.plan, making.one_paper, draft=making.draft)


def _otherwise_too(sheet: Callable[..., bytes]) -> Maker:
    """Return what makes a sheet that holds a line or two of what was planned beforehand."""
    return lambda making: sheet(making.plan, making.one_paper, scenarios=making.scenarios, draft=making.draft)


def _paperless(made: Callable[..., bytes]) -> Maker:
    """Return what makes a text or a picture, which stands on no paper."""
    return lambda making: made(making.plan, draft=making.draft)


def _labels(stock: Stock) -> Maker:
    return lambda making: label_sheets(making.plan, stock, first=making.first_label, draft=making.draft)


def _brings_packs(plan: Plan) -> bool:
    return bool(packs(plan))


def _phone(making: Making) -> bytes:
    return phone_page(making.plan, making.later, making.scenarios, draft=making.draft)


def _course_strip(making: Making) -> bytes:
    return written(strip_alone(making.plan, draft=making.draft), "alone").encode("utf-8")


def _calendar(making: Making) -> bytes:
    return race_calendar(making.plan, sequence=making.sequence, earlier=making.earlier)


def _safety(making: Making) -> bytes:
    case = making.plan.case
    return safety_page(case.practitioner, race_facts(case), making.one_paper)


def _otherwise(making: Making) -> bytes:
    assert making.scenarios is not None
    return otherwise_sheet(making.plan, making.scenarios, making.one_paper)


SCENARIOS: Mapping[Piece, tuple[ScenarioId, ...]] = {
    "otherwise": EVERY,
    "night": ON_THE_NIGHT_CARD,
    "large": ON_THE_NIGHT_CARD,
    "crew": FOR_A_CREW,
    "phone": ON_THE_PHONE,
}
"""The pieces that hold scenarios, and which: somebody must have planned them beforehand."""

NEEDS_DELAYS: Piece = "phone"
"""The piece that holds later starts, which somebody must have planned beforehand."""

RECORD = PieceKind(
    "record",
    "Record",
    "the practitioner's record",
    (
        Sheet(
            "plan.json", JSON, "every figure with its reasons", lambda making: making.plan.as_bytes, ours=True
        ),
    ),
)
"""The practitioner's own; it holds every figure, and nobody else is given it."""

_KITCHEN = "menu, shopping and drinks to mix"

PIECES: tuple[PieceKind, ...] = (
    PieceKind(
        "home",
        "Home sheet",
        "menu, shopping, drinks to mix and the card for a kitchen, where there are such",
        (
            Sheet("home.pdf", PDF, f"{_KITCHEN}, A4", _on(home_sheet, "a4"), _has_kitchen_work),
            Sheet(
                "home-letter.pdf",
                PDF,
                f"{_KITCHEN}, US Letter",
                _on(home_sheet, "letter"),
                _has_kitchen_work,
            ),
            Sheet("hotel.pdf", PDF, "card for a kitchen", _on_one(hotel_card), _leaves_out),
            Sheet(
                "menu.xlsx",
                XLSX,
                "menu that keeps counting",
                lambda making: menu_book(making.plan),
                _tells_weights,
                in_drafts=False,
                ours=True,
            ),
        ),
        by_default=True,
    ),
    PieceKind(
        "night",
        "Night card",
        "the night before and the morning, on one card",
        (Sheet("night.pdf", PDF, "night-before card", _otherwise_too(night_card)),),
        by_default=True,
    ),
    PieceKind(
        "strip",
        "Strip and card",
        "wrist strip and card, to cut out",
        (Sheet("strip.pdf", PDF, "wrist strip and card", _on_one(strip_sheet)),),
        by_default=True,
    ),
    PieceKind(
        "finish",
        "Finish card",
        "after the finish, danger signs and whom to call: a card to carry and one for a fridge",
        (Sheet("finish.pdf", PDF, "safety and finish card", _on_one(finish_card)),),
        by_default=True,
    ),
    PieceKind(
        "safety",
        "Safety page",
        "the same for everybody, on hold too",
        (Sheet("safety.pdf", PDF, "safety page", _safety),),
    ),
    PieceKind(
        "labels",
        "Labels",
        "labels to stick on packs and bottles, where any are brought",
        (
            Sheet("labels-24.pdf", PDF, "labels, 24 to an A4 sheet", _labels(LARGE), _brings_packs),
            Sheet("labels-65.pdf", PDF, "labels, 65 to an A4 sheet", _labels(SMALL), _brings_packs),
        ),
    ),
    PieceKind(
        "otherwise",
        "Scenario card",
        "if things go otherwise: a card of short lines and the list behind it",
        (
            Sheet(
                "otherwise.pdf",
                PDF,
                "if things go otherwise",
                _otherwise,
                in_drafts=False,
                is_ready=lambda making: making.scenarios is not None,
            ),
        ),
    ),
    PieceKind(
        "crew",
        "Crew sheet",
        "for a crew: where and when, what to hand over, what never to give",
        (Sheet("crew.pdf", PDF, "crew sheet", _otherwise_too(crew_sheet)),),
    ),
    PieceKind(
        "guide",
        "Guide's card",
        "for who runs as a guide: what comes next, which side of the table",
        (Sheet("guide.pdf", PDF, "guide's card", _on_one(guide_card)),),
    ),
    PieceKind(
        "relay",
        "Relay sheet",
        "for a relay team: this leg, taken over and handed over by the clock",
        (Sheet("relay.pdf", PDF, "relay team sheet", _on_one(relay_sheet)),),
    ),
    PieceKind(
        "debrief",
        "Debrief card",
        "two minutes after the race: what was eaten, what is left, how it felt",
        (Sheet("debrief.pdf", PDF, "debrief card", _on_one(debrief_card)),),
    ),
    PieceKind(
        "large",
        "Large print",
        "strip and night-before card in large print",
        (Sheet("large.pdf", PDF, "large print", _otherwise_too(large_print)),),
    ),
    PieceKind(
        "plan",
        "Plan",
        "all of it with every reason, and the course strip",
        (
            Sheet("plan.pdf", PDF, "plan, A4", _on(plan_sheet, "a4"), ours=True),
            Sheet("plan-letter.pdf", PDF, "plan, US Letter", _on(plan_sheet, "letter"), ours=True),
            Sheet("course-strip.svg", SVG, "course strip, a picture", _course_strip, ours=True),
        ),
    ),
    PieceKind(
        "calendar",
        "Calendar",
        "the morning in a calendar, with its time zone",
        (Sheet("race.ics", ICS, "calendar", _calendar, in_drafts=False),),
    ),
    PieceKind(
        "text",
        "Text",
        "a message of at most 600 characters, and the race as text to be read out",
        (
            Sheet("message.txt", TEXT, "message to send", _paperless(message)),
            Sheet("read-out.txt", TEXT, "text for a screen reader or a voice", _paperless(read_out)),
        ),
    ),
    PieceKind(
        NEEDS_DELAYS,
        "Phone page",
        "a page for the phone, which needs no network",
        (Sheet("phone.html", HTML, "page for the phone", _phone, in_drafts=False),),
    ),
    PieceKind(
        "lock",
        "Lock picture",
        "a picture for the locked phone, where all of it fits",
        (Sheet("lock.png", PNG, "picture for a locked phone", _paperless(lock_picture), has_room),),
    ),
    PieceKind(
        "watch",
        "Watch alert",
        "the nearest alert that a watch can repeat, where one comes within 5 minutes",
        (Sheet("watch.txt", TEXT, "card for setting a watch", _paperless(watch_card), has_alert),),
    ),
    PieceKind(
        "waypoints",
        "Waypoints",
        "the course with a waypoint wherever something is eaten, where a course file was read",
        (
            Sheet(
                "course.gpx",
                GPX,
                "course with waypoints",
                lambda making: course_with_waypoints(making.plan),
                has_places,
                in_drafts=False,
            ),
        ),
    ),
)
"""The pieces that people are given, in the order in which they are listed."""

HELD: tuple[Piece, ...] = tuple(kind.id for kind in PIECES)
DEFAULT: tuple[Piece, ...] = tuple(kind.id for kind in PIECES if kind.by_default)
KINDS: Mapping[Piece, PieceKind] = {kind.id: kind for kind in (RECORD, *PIECES)}

WITHDRAWN = "race-cancelled.ics"
"""The calendar that takes back another: made of handed-out files and of no plan."""


def owners() -> Mapping[str, tuple[Piece, str]]:
    """Return piece and kind of every file that we write, by its name."""
    made = {sheet.name: (kind.id, sheet.media_type) for kind in KINDS.values() for sheet in kind.sheets}
    return made | {WITHDRAWN: ("calendar", ICS)}


def sheets_of(making: Making, pieces: Iterable[Piece]) -> tuple[Sheet, ...]:
    """Return the files that a plan gives for some pieces, in the order of the list.

    A paper that was asked for leaves out the same sheet on the other.
    """
    wanted = set(pieces)
    return tuple(
        sheet
        for kind in KINDS.values()
        if kind.id in wanted
        for sheet in kind.sheets
        if sheet.is_for(making.plan)
        and sheet.is_ready(making)
        and (sheet.in_drafts or not making.draft)
        and _is_on(sheet.name, making.paper)
    )


def _is_on(name: str, paper: Paper | None) -> bool:
    """Return whether a file is wanted where one paper was asked for: `home-letter.pdf` has a twin."""
    if paper is None:
        return True
    stem = name.removesuffix("-letter.pdf").removesuffix(".pdf")
    twins = {sheet.name for kind in PIECES for sheet in kind.sheets}
    has_twin = {f"{stem}.pdf", f"{stem}-letter.pdf"} <= twins
    return not has_twin or name.endswith("-letter.pdf") == (paper == "letter")
