"""The page for the phone as text: one file, a policy that allows its own alone, and what it says to whom."""

from __future__ import annotations

import base64
import hashlib
import re
from datetime import datetime
from html.parser import HTMLParser
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from plans import ZONE, a_case, a_plan, a_stop, a_take, cleared, some_lines

from provand.finding import CannotWork
from provand.pack.hypertext import written_in
from provand.pack.phone import ends_at, phone_page
from provand.pack.write import pack_files
from provand.plan.document import Plan
from provand.plan.withheld import WEIGHTS
from provand.planner.if_then import EMERGENCY
from provand.safety.page import safety_sentences

MOST_BYTES = 150_000


class Read(HTMLParser):
    """What a page holds: its elements with attributes in order, its words, its style and script."""

    def __init__(self, data: bytes) -> None:
        super().__init__()
        self.elements = list[tuple[str, dict[str, str | None]]]()
        self.words, self.written = list[str](), dict[str, str]()
        self._inside = ""
        self.feed(data.decode("utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        self._inside = tag if tag in ("style", "script") else ""

    def handle_endtag(self, tag: str) -> None:
        self._inside = ""

    def handle_data(self, data: str) -> None:
        if self._inside:
            self.written[self._inside] = data
        elif data.strip():
            self.words.append(data.strip())

    @property
    def text(self) -> str:
        return " ".join(self.words)

    def policy(self) -> str:
        (allowed,) = (
            attributes["content"]
            for tag, attributes in self.elements
            if tag == "meta" and attributes.get("http-equiv") == "Content-Security-Policy"
        )
        assert allowed is not None
        return allowed


def read(plan: Plan, **more: Any) -> Read:
    return Read(phone_page(plan, **more))


def test_the_policy_allows_its_own_style_and_script_by_hash_and_nothing_else() -> None:
    page = read(a_plan())
    sources = dict(part.split(" ", 1) for part in page.policy().split("; "))
    assert sources["default-src"] == sources["base-uri"] == sources["form-action"] == "'none'"
    assert set(sources) == {"default-src", "style-src", "script-src", "base-uri", "form-action"}
    for name in ("style", "script"):
        digest = hashlib.sha256(page.written[name].encode("utf-8")).digest()
        assert sources[f"{name}-src"] == f"'sha256-{base64.b64encode(digest).decode()}'"


def test_it_loads_nothing_and_nothing_else_is_written_in() -> None:
    page = read(a_plan())
    for tag, attributes in page.elements:
        assert not {"src", "href", "srcset", "action", "style", "data", "poster"} & set(attributes)
        assert not [name for name in attributes if name.startswith("on")]
        assert tag not in ("link", "img", "iframe", "object", "embed", "base", "svg")
    assert sum(tag in ("style", "script") for tag, _ in page.elements) == 2
    assert not re.search(r"url\(|@import|https?:|//", page.written["style"] + page.written["script"])


def test_the_script_asks_the_clock_and_nothing_of_the_race() -> None:
    script = read(a_plan()).written["script"]
    assert not re.search(r"fetch|XMLHttp|localStorage|cookie|eval|innerHTML|import", script)
    assert script == read(a_plan(time_struck=True)).written["script"], "one script for every plan"


def test_it_is_small() -> None:
    assert len(phone_page(a_plan())) < MOST_BYTES


def test_it_holds_start_ladder_intakes_rules_emergency_and_code() -> None:
    plan = a_plan()
    text = read(plan).text
    assert "07:34–07:38" in text
    for line in ("Wake up", "Breakfast", "Leave the house", "You cross the start line"):
        assert line in text
    assert "0:22 lemon gel + mouthful of water Millrace" in text
    for line in (plan.race.drinking.sentence, plan.if_then[0].then, EMERGENCY, plan.code):
        assert line in text
    assert "Made for Tove Askerby by Ines Halloway" in text
    assert "ring 000 000 000" in text


def test_it_says_that_it_cannot_be_taken_back_and_how_to_ask() -> None:
    plan = a_plan()
    text = read(plan).text
    assert "This copy cannot be taken back. Before the race, ask whether it still counts." in text
    assert f"Say the code {plan.code} to Ines Halloway." in text
    assert "It stops counting on Monday 7 December 2026." in text


def test_the_safety_lines_stand_outside_what_ends() -> None:
    data = phone_page(a_plan()).decode("utf-8")
    after = data.split('<section class="alarm"')[1]
    assert 'class="base"' not in after
    assert 'class="counts"' not in after
    for section in safety_sentences()[1:]:
        assert section.title in after
        assert all(line in after for line in section.says)


@pytest.mark.parametrize(
    ("gun", "ends"),
    [
        (datetime(2026, 12, 6, 7, 30), datetime(2026, 12, 7)),
        (datetime(2026, 12, 6, 21, 0), datetime(2026, 12, 8)),
    ],
)
def test_it_ends_the_day_after_the_race_in_the_zone_of_the_race(gun: datetime, ends: datetime) -> None:
    zone = ZoneInfo(ZONE)
    case = a_case()
    late = case.model_copy(update={"race": case.race.model_copy(update={"gun": gun.replace(tzinfo=zone)})})
    plan = a_plan(late)
    assert ends_at(plan) == ends.replace(tzinfo=zone)
    assert read(plan).elements[0][1]["data-until"] == ends.replace(tzinfo=zone).isoformat()


def test_with_times_struck_no_time_of_the_race_is_told() -> None:
    text = read(a_plan(time_struck=True)).text
    race = text.split("In the race")[1].split("Your rules")[0]
    assert "4.6 km lemon gel" in race
    assert not re.search(r"\d:\d\d", race)


def test_a_drink_in_the_morning_has_no_clock_time() -> None:
    page = read(a_plan())
    assert "07:24" not in page.text, "the line about a cup of water stands with the line before it"
    assert "A cup of water if you are thirsty." in page.text


def test_names_are_escaped() -> None:
    case = a_case()
    case = case.model_copy(update={"race": case.race.model_copy(update={"name": "<b>Hill & Dale</b>"})})
    data = phone_page(a_plan(case)).decode("utf-8")
    assert "<b>Hill" not in data
    assert "&lt;b&gt;Hill &amp; Dale&lt;/b&gt;" in data


def test_with_weights_withheld_no_byte_tells_one() -> None:
    plain = tuple(line for line in some_lines(a_case())["loading"] if not WEIGHTS.search(line.says))
    (file,) = pack_files(cleared(a_plan(withheld=("grams",), loading=plain)), pieces=("phone",))
    assert file.name == "phone.html"
    assert not WEIGHTS.search(file.data.decode("utf-8"))


def test_a_hash_that_would_read_as_a_weight_is_not_used() -> None:
    found = 0
    for number in range(400):
        text = f"/* {number} */"
        digest = base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode()
        written = written_in(text)
        assert not WEIGHTS.search(written.source)
        assert written.text.strip() == text
        found += bool(WEIGHTS.search(digest))
    assert found, "some of these do read as one"


def test_a_weight_in_the_race_stops_the_writing() -> None:
    case = a_case()
    heavy = a_take("gel", case).model_copy(update={"name": "gel 40 g"})
    with pytest.raises(CannotWork, match="40 g"):
        phone_page(a_plan(case, stops=(a_stop(4600.0, heavy, case=case),)))


def test_a_draft_says_so_and_carries_no_code_and_bytes_repeat() -> None:
    plan = a_plan()
    draft = read(plan, draft=True).text
    assert "Draft, not issued" in draft
    assert plan.code not in draft
    assert phone_page(plan) == phone_page(a_plan())
