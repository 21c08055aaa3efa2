"""The plan on paper: read back from the PDF's own bytes."""

from __future__ import annotations

import io
import re
from functools import cache
from typing import Any

import pdfplumber
import pytest
from plans import a_case, a_plan, some_lines, some_stops
from pypdf import PdfReader

from provand.finding import BadInput, CannotWork, find
from provand.pack.letters import printable
from provand.pack.sheet import (
    KEY_FIGURES,
    caution_numbers,
    cautions,
    plan_data,
    plan_sheet,
    texts,
    unit_words,
)
from provand.pack.typeset import Paper, pdf
from provand.plan.document import Plan
from provand.plan.withheld import WEIGHTS
from provand.planner.if_then import EMERGENCY

POINTS: dict[Paper, tuple[float, float]] = {"a4": (595.28, 841.89), "letter": (612, 792)}


@cache
def sheet(paper: Paper) -> bytes:
    return plan_sheet(a_plan(), paper)


def pages(data: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(data)).pages]


def with_race(**changes: Any) -> Plan:
    case = a_case()
    return a_plan(case.model_copy(update={"race": case.race.model_copy(update=changes)}))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_each_page_is_of_the_paper_upright_or_turned(paper: Paper) -> None:
    sizes = [page.mediabox for page in PdfReader(io.BytesIO(sheet(paper))).pages]
    upright = POINTS[paper]
    assert (float(sizes[0].width), float(sizes[0].height)) == pytest.approx(upright, abs=0.01)
    assert (float(sizes[1].width), float(sizes[1].height)) == pytest.approx(upright[::-1], abs=0.01)
    assert all(float(size.width) == pytest.approx(upright[0], abs=0.01) for size in sizes[2:])


def test_the_first_page_says_what_to_do_in_order() -> None:
    first = pages(sheet("a4"))[0]
    order = [
        "Tove Askerby", "Quernbeck Half Marathon", "07:34–07:38", "1:52", "18–24 °C", "What to do",
        "0:22", "0:21–0:24", "4.6", "lemon gel + mouthful of water", "pocket, then Millrace",
        "0:39", "3 × orange chews not rehearsed", "finish", "Thirsty? Drink: half a cup",
        "Saturday 5 December 2026",
        "Sunday 6 December 2026", "Breakfast",
    ]  # fmt: skip
    places = [first.index(text) for text in order]
    assert places == sorted(places)
    assert EMERGENCY in first
    assert "Times count from your own start, not from the gun." in first


def test_every_stop_of_the_plan_stands_on_the_first_page_with_its_times() -> None:
    first = pages(sheet("a4"))[0]
    for row in plan_data(a_plan(), "a4")["stops"]:
        pattern = rf"{row['goal']} {row['around']} {row['km']} .*?{re.escape(row['from'])}"
        assert re.search(pattern, first), row


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_page_carries_code_maker_basis_and_no_medical_advice(paper: Paper) -> None:
    plan = a_plan()
    for page in pages(sheet(paper)):
        assert page.count(plan.code) >= 2
        assert "by Ines Halloway" in page
        assert "body mass of 2026-11-15" in page
        assert "no medical advice" in page
        assert "Invented example: no real person, no real race" in page


def test_a_real_case_has_no_stamp() -> None:
    assert "Invented example" not in " ".join(pages(plan_sheet(a_plan(a_case(invented=False)), "a4")))


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert plan_sheet(a_plan(), "a4") == sheet("a4")


def test_fonts_are_embedded_and_ours() -> None:
    names = set()
    for page in PdfReader(io.BytesIO(sheet("a4"))).pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            descriptor = font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"]
            assert {"/FontFile2", "/FontFile3"} & set(descriptor)
            names.add(descriptor["/FontName"].split("+")[1].split("-")[0])
    assert names == {"FiraSans", "FiraSansCondensed", "Spectral"}


def structure(node: Any) -> list[tuple[str, str]]:
    node = node.get_object()
    if not isinstance(node, dict):
        return []
    kids = node.get("/K", [])
    kids = kids.get_object() if hasattr(kids, "get_object") else kids
    kids = kids if isinstance(kids, list) else [kids]
    found = [(node.get("/S", ""), node.get("/Alt", ""))]
    return found + [pair for kid in kids if hasattr(kid, "get_object") for pair in structure(kid)]


def test_a_screen_reader_finds_heads_tables_and_the_strip_in_words() -> None:
    reader = PdfReader(io.BytesIO(sheet("a4")))
    root = reader.trailer["/Root"]
    tags = structure(root["/StructTreeRoot"])
    kinds = [kind for kind, _ in tags]
    assert {"/H1", "/H2", "/Table", "/TH", "/TD"} <= set(kinds)
    figures = [alt for kind, alt in tags if kind == "/Figure"]
    assert len(figures) == 1
    assert "4.6 km at 0:22: lemon gel + mouthful of water" in figures[0]
    assert root["/Lang"] == "en-GB"
    assert reader.metadata is not None
    assert reader.metadata.title == "Race plan: Tove Askerby, Quernbeck Half Marathon"


def test_figures_stand_with_range_unit_and_what_they_are_per() -> None:
    text = pages(sheet("a4"))[2]
    assert re.search(
        r"Carbohydrate, target 38 g per hour 30 to 60 · race\.target_carb_g_per_h · rule: position-stands/D3 "
        r"· burke2011 table 1 · read2",
        text,
    )
    assert "7 to 12 g per kg of body mass per day" in text
    assert 'given: typed "140 lb"' in text


@pytest.mark.parametrize(
    ("figure_id", "words"),
    [
        ("load.dose_g_per_kg_per_day", "g per kg of body mass per day"),
        ("race.carb_g_per_race", "g, whole race"),
        ("race.fluid_so_far_ml", "ml, whole race"),
        ("athlete.body_mass_kg", "kg"),
        ("race.finish_s", "h:min:s"),
    ],
)
def test_units_are_told_in_words(figure_id: str, words: str) -> None:
    figure = a_plan().figure(figure_id)
    assert figure is not None
    assert unit_words(figure) == words


def test_the_figures_that_matter_first_stand_on_the_sheet_in_their_order() -> None:
    ids = [row["id"] for row in plan_data(a_plan(), "a4")["key"]]
    made = {figure.id for figure in a_plan().figures}
    assert ids == [figure_id for figure_id in KEY_FIGURES if figure_id in made]
    assert len(ids) > 5


def test_a_load_that_nobody_chose_is_a_band_without_a_middle() -> None:
    rows = {row["id"]: row for row in plan_data(a_plan(), "a4")["key"]}
    dose = a_plan().figure("load.dose_g_per_kg_per_day")
    assert dose is not None
    assert rows[dose.id]["value"] == "7 to 12"
    assert rows[dose.id]["range"] == "a band: nothing in it is chosen yet"


def test_a_ceiling_is_shown_as_never_above() -> None:
    rows = {row["id"]: row for row in plan_data(a_plan(), "a4")["key"]}
    assert rows["ceiling.fluid_so_far_ml"]["value"].startswith("≤ ")
    assert rows["ceiling.fluid_so_far_ml"]["range"] == "at the finish; less before"
    assert rows["race.carb_g_per_race"]["value"] == "71"


def test_rules_of_both_protocols_are_shown_with_their_reason() -> None:
    text = pages(sheet("a4"))[2]
    assert "race.carb D3 position-stands 30 to 60 g/h yes the race is 1:46 to 2:04 (burke2011) read2" in text
    assert "race.carb D7 common-practice 45 to 75 g/h no the lower rule leads" in text


def test_with_times_struck_no_race_time_is_told() -> None:
    data = plan_sheet(a_plan(time_struck=True, loading=(), morning=(), recovery=()), "a4")
    first, strip, *_ = pages(data)
    for page in (first, strip):
        without_clocks = re.sub(r"\b\d\d:\d\d\b", "", page)
        assert not re.search(r"\b\d:\d\d\b", without_clocks)
    assert "Finish" not in first
    assert "4.6 lemon gel" in first


def test_portions_only_means_no_weight_in_any_text_of_the_sheet() -> None:
    lines = some_lines(a_case())
    plain = tuple(line for line in lines["loading"] if not WEIGHTS.search(line.says))
    data = plan_sheet(a_plan(withheld=("grams",), loading=plain), "a4")
    reader = PdfReader(io.BytesIO(data))
    told = [
        *pages(data),
        str(reader.metadata),
        *(alt for _, alt in structure(reader.trailer["/Root"]["/StructTreeRoot"])),
    ]
    assert not [text for text in told if WEIGHTS.search(text)]
    assert "Muscle store" not in " ".join(told)


def test_a_weight_that_slips_through_stops_the_sheet() -> None:
    with pytest.raises(CannotWork, match="508 g"):
        plan_sheet(a_plan(withheld=("grams",)), "a4")


def test_withheld_fluid_leaves_the_thirst_line_and_no_amount() -> None:
    told = " ".join(pages(plan_sheet(a_plan(withheld=("fluid",)), "a4")))
    assert "Thirsty? Drink" in told
    assert not re.search(r"\d ?ml\b|ceiling \d", told)


def a_note(about: str) -> Any:
    return find("pack.sign_left_out", about, text="Ten")


def test_cautions_are_numbered_alike_on_list_and_strip() -> None:
    plan = a_plan(findings=(a_note("race.name"), a_note("chews")))
    assert [finding.about for finding in cautions(plan)] == ["race.name", "chews"]
    assert caution_numbers(plan) == {"race.name": 1, "chews": 2}
    told = pages(plan_sheet(plan, "a4"))
    assert "2" in re.sub(r"\d\d+|\d:\d\d", "", told[1].split("not rehearsed")[1][:4])
    assert "Cautions" in told[2]


def test_many_stops_go_on_to_a_second_page_under_the_same_head() -> None:
    case = a_case()
    one = some_stops(case)[0]
    stops = tuple(one.model_copy(update={"at_m": 100.0 * i, "goal_s": 300.0 * i}) for i in range(1, 61))
    told = pages(plan_sheet(a_plan(case, stops=stops), "a4"))
    assert told[1].startswith(
        "Invented example: no real person, no real race goal h:min early–slow h:min km take from"
    )
    assert sum(page.count("lemon gel + mouthful of water") for page in told[:3]) >= 60


LONG = "Maximiliane-Theodora Ścibor-Rylska von Hohenlohe und Waldenburg-Schillingsfürst Łukaszewiczówna"


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_long_names_stay_on_the_page(paper: Paper) -> None:
    case = a_case()
    case = case.model_copy(
        update={
            "athlete": case.athlete.model_copy(update={"name": LONG}),
            "race": case.race.model_copy(update={"name": "Nothing" * 17}),
            "items": tuple(
                i.model_copy(update={"name": f"{i.id} with a name as long as it may be"[:40]})
                for i in case.items
            ),
        }
    )
    with pdfplumber.open(io.BytesIO(plan_sheet(a_plan(case), paper))) as document:
        for page in document.pages:
            assert all(char["x0"] > 12 and char["x1"] < page.width - 12 for char in page.chars)
            assert all(char["bottom"] < page.height - 8 for char in page.chars)


def test_signs_that_no_font_has_are_left_out_and_names_composed() -> None:
    assert printable("Łukasz 🏃‍♀️ Ścibor", "x") == "Łukasz Ścibor"
    assert printable("Cafe\u0301", "x") == "Café"
    assert printable("Ολυμπία Привет", "x") == "Ολυμπία Привет"


def test_a_name_in_letters_that_no_font_has_is_refused_with_the_letters() -> None:
    with pytest.raises(BadInput, match=r"race\.name: 'מרוץ' has letters .*: ו מ ץ ר\. Type it in Latin"):
        plan_sheet(with_race(name="מרוץ"), "a4")


def test_an_emoji_in_a_name_is_left_out_and_that_is_said() -> None:
    told = pages(plan_sheet(with_race(name="Quernbeck 🎉 Half"), "a4"))
    assert "Quernbeck Half" in told[0]
    assert "'Quernbeck Half' has a sign that no font of the hand-outs has" in told[2]


def test_text_is_never_read_as_markup() -> None:
    told = pages(plan_sheet(with_race(name="*Ten* #pagebreak() $x$ \\ [Half]"), "a4"))
    assert "*Ten* #pagebreak() $x$ \\ [Half]" in told[0]


def test_the_typesetter_failing_is_told_and_nothing_comes_out() -> None:
    with pytest.raises(CannotWork, match=r"plan\.typ: the page could not be set"):
        pdf("plan.typ", {"title": "no more than this"})


def test_every_text_inside_plain_data_is_found() -> None:
    assert list(texts({"a": ["b", ("c",)], "d": {"e": "f"}, "g": 1})) == ["b", "c", "f"]


def test_race_morning_that_does_not_fit_has_the_second_sheet_to_itself() -> None:
    plan = a_plan()
    lines = tuple(
        plan.morning[0].model_copy(update={"title": f"Rung {number}", "says": "Said at length. " * 6})
        for number in range(14)
    )
    first, second, third, *_ = pages(plan_sheet(plan.model_copy(update={"morning": lines}), "a4"))
    assert "Rung" not in first
    assert "After the race" not in first
    assert second.startswith("Invented example")
    assert "Race morning, and after" in second
    assert all(f"Rung {number} " in second for number in range(14))
    assert "After the race" in second
    assert "Why: along the course" in third
    assert "Race morning, and after" not in " ".join(pages(sheet("a4")))
