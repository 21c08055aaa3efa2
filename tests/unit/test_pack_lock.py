"""The picture for a locked phone: its size, its empty third, letters that can be read, the same bytes."""

from __future__ import annotations

import io
import json

import pytest
from PIL import Image
from plans import a_case, a_plan, a_stop, a_take, cleared

from provand.finding import CannotWork
from provand.pack.letters import width_of
from provand.pack.lock import GROUND, INK, QUIET, WIDTH_PT, has_room, lock_data, lock_picture
from provand.pack.pieces import HELD, Making, sheets_of
from provand.pack.sheet import texts
from provand.pack.wrist import entries
from provand.pack.write import pack_files
from provand.plan.document import Plan
from provand.planner.if_then import EMERGENCY_SHORT


def picture(plan: Plan) -> Image.Image:
    return Image.open(io.BytesIO(lock_picture(plan))).convert("RGB")


def with_stops(count: int, name: str = "lemon gel") -> Plan:
    case = a_case()
    gel = a_take("gel", case).model_copy(update={"name": name})
    sip = a_take("water", case, amount="mouthful", got_from="station")
    stops = tuple(
        a_stop(1200.0 * (n + 1) + 170 * (n % 3), gel, sip, case=case, station=f"Station {n}", had=n)
        for n in range(count)
    )
    return a_plan(case, stops=stops)


def luminance(colour: tuple[int, ...]) -> float:
    """Relative luminance as WCAG 2 defines it."""
    shares = [part / 255 for part in colour]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: tuple[int, ...], other: tuple[int, ...]) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def rgb(colour: str) -> tuple[int, ...]:
    return tuple(bytes.fromhex(colour.removeprefix("#")))


@pytest.mark.parametrize("plan", [a_plan(), a_plan(stops=()), a_plan(time_struck=True)])
def test_it_is_9_by_19_5_with_nothing_in_its_upper_third(plan: Plan) -> None:
    image = picture(plan)
    assert image.size == (1170, 2535)
    assert image.width / 9 == image.height / 19.5
    upper = image.crop((0, 0, 1170, 845))
    assert upper.getcolors() == [(1170 * 845, rgb(GROUND))]
    assert image.crop((0, 845, 1170, 2535)).getcolors(maxcolors=1) is None


@pytest.mark.parametrize("count", [1, 3, 5, 6, 7])
def test_nothing_runs_over_an_edge_or_into_the_code(count: int) -> None:
    plan = with_stops(count)
    assert has_room(plan)
    image = picture(plan)
    for edge in ((0, 0, 60, 2535), (1110, 0, 1170, 2535), (0, 2440, 1170, 2535)):
        assert len(image.crop(edge).getcolors() or []) == 1, "the margins are bare"
    bare = [y for y in range(2100, 2300) if len(image.crop((0, y, 1170, y + 1)).getcolors() or []) == 1]
    assert len(bare) > 20, "there is room between the rules and the code"


def test_letters_have_contrast_and_are_large_enough_on_a_phone() -> None:
    image = picture(a_plan())
    colours = sorted(image.getcolors(maxcolors=1 << 24) or [], reverse=True)
    assert colours[0][1] == rgb(GROUND)
    found = {colour for _, colour in colours}
    for colour in (INK, QUIET):
        near = [one for one in found if max(abs(a - b) for a, b in zip(one, rgb(colour), strict=True)) <= 2]
        assert near, f"no letter shows {colour} whole"
        assert contrast(rgb(colour), rgb(GROUND)) >= 7
    for count in (0, 1, 5, 7):
        assert min(lock_data(with_stops(count))["sizes"]) >= 15


def test_it_tells_every_intake_the_drinking_line_the_emergency_and_the_code() -> None:
    for plan in (a_plan(), with_stops(7), with_stops(3)):
        data = lock_data(plan)
        assert [row["when"] for row in data["rows"]] == [entry.when for entry in entries(plan)]
        told = " ".join(texts(data["rules"]))
        assert plan.race.drinking.sentence in told
        assert EMERGENCY_SHORT in told
        assert data["code"] == plan.code
        assert data["foot"][0] == "Tove Askerby, by Ines Halloway"


def test_no_word_is_wider_than_its_room() -> None:
    for plan in (a_plan(), with_stops(7), with_stops(4, "gel of a very long and winding name indeed")):
        data = lock_data(plan)
        room_pt = WIDTH_PT - 48 - data["lead"] - data["gap"]
        for row in data["rows"]:
            for line in row["items"]:
                assert width_of(line, "condensed-bold", data["sizes"][1]) <= room_pt


def test_where_not_all_intakes_fit_there_is_no_picture() -> None:
    plan = with_stops(14)
    assert not has_room(plan)
    assert "lock.png" not in {sheet.name for sheet in sheets_of(Making(plan), HELD)}


def test_caffeine_is_told_where_the_name_of_the_item_does_not() -> None:
    case = a_case()
    strong = a_take("gel-caffeine", case).model_copy(update={"name": "strong gel"})
    (row,) = lock_data(a_plan(case, stops=(a_stop(9100.0, strong, case=case),)))["rows"]
    assert " ".join(row["items"]) == "strong gel, with caffeine"


def test_it_tells_no_weight_and_one_in_a_name_stops_the_writing() -> None:
    with pytest.raises(CannotWork, match="40 g"):
        lock_picture(with_stops(3, "gel 40 g"))


def test_a_draft_says_so_and_carries_no_code() -> None:
    plan = a_plan()
    told = json.dumps(lock_data(plan, draft=True))
    assert plan.code not in told
    assert '"code": "draft"' in told


def test_the_same_plan_gives_the_same_bytes_and_no_word_beside_the_picture() -> None:
    (file,) = pack_files(cleared(), pieces=("lock",))
    assert file.data == lock_picture(a_plan())
    assert not Image.open(io.BytesIO(file.data)).info
