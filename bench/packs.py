"""What the pieces of a pack cost beside empty files of the same kinds."""

from __future__ import annotations

import io
import time
from collections.abc import Callable, Collection
from datetime import date
from importlib.resources import files
from pathlib import Path

from measure import Ratio, medians_s

AS_OF = date(2026, 11, 25)
DEMO = Path(str(files("provand") / "demo" / "club-runner" / "case.toml"))
"""A case with a menu, so that every piece has something to print."""


def packs(rounds: int) -> list[Ratio]:
    """Return what the pieces of every pack, and all pieces, cost beside empty files of the same kinds."""
    from provand.cli.food import cleared_plan_of  # noqa: PLC0415 - heavy, and counted nowhere
    from provand.pack.pieces import DEFAULT, HELD  # noqa: PLC0415
    from provand.pack.write import pack_files  # noqa: PLC0415

    cleared = cleared_plan_of(DEMO, AS_OF)

    def made(pieces: Collection[str]) -> Callable[[], float]:
        return lambda: _taken_s(lambda: pack_files(cleared, pieces=pieces))

    def empty(pieces: Collection[str]) -> Callable[[], float]:
        kinds = [file.media_type for file in pack_files(cleared, pieces=pieces)]
        return lambda: _taken_s(lambda: [EMPTY.get(kind, _empty_text)() for kind in kinds])

    tasks = {
        "default": made(DEFAULT),
        "empty default": empty(DEFAULT),
        "all": made(HELD),
        "empty all": empty(HELD),
    }
    taken_s = medians_s(tasks, rounds)
    baseline = "an empty file of each kind"
    default, whole = (taken_s[name] / taken_s[f"empty {name}"] for name in ("default", "all"))
    return [
        Ratio("the pieces of every pack", default, baseline, 15),
        Ratio("all pieces", whole, baseline, 15),
    ]


def _taken_s(work: Callable[[], object]) -> float:
    start_s = time.perf_counter()
    work()
    return time.perf_counter() - start_s


def _empty_pdf() -> bytes:
    import typst  # noqa: PLC0415

    from provand.pack.typeset import fonts  # noqa: PLC0415

    made = typst.compile(
        {"main.typ": b'#set page(paper: "a4")\n'}, font_paths=fonts(), ignore_system_fonts=True
    )
    assert isinstance(made, bytes)
    return made


def _empty_book() -> bytes:
    from openpyxl import Workbook  # noqa: PLC0415

    written = io.BytesIO()
    Workbook().save(written)
    return written.getvalue()


def _empty_calendar() -> bytes:
    from icalendar import Calendar, Event  # noqa: PLC0415

    calendar = Calendar()
    calendar.add_component(Event())
    return bytes(calendar.to_ical())


def _empty_picture() -> bytes:
    from PIL import Image  # noqa: PLC0415

    written = io.BytesIO()
    Image.new("RGB", (1170, 2535), "white").save(written, "PNG")
    return written.getvalue()


def _empty_text() -> bytes:
    return b""


EMPTY: dict[str, Callable[[], bytes]] = {
    "application/pdf": _empty_pdf,
    "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": _empty_book,
    "text/calendar": _empty_calendar,
    "image/png": _empty_picture,
}
