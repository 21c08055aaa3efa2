"""One writer, two skins: the page has classes only, the print has values only."""

from __future__ import annotations

import re

import pytest
from defusedxml.ElementTree import fromstring
from plans import a_case, a_plan

from provand.pack.marks import MARKS
from provand.pack.shapes import Drawing, Group, Words
from provand.pack.strip import course_strip
from provand.pack.svg import DARK, LIGHT, PRINT, ROLES, mark_svg, number, style_sheet, written
from provand.pack.voice import MARK_WORDS


@pytest.fixture(scope="module")
def drawing() -> Drawing:
    return course_strip(a_plan(), {"chews": 1})


def test_a_page_gets_classes_and_geometry_and_no_look(drawing: Drawing) -> None:
    text = written(drawing, "classes")
    assert "style" not in text
    assert "#" not in text
    assert "font-" not in text
    assert "<script" not in text
    assert 'role="group"' in text


def test_print_gets_values_and_no_class(drawing: Drawing) -> None:
    text = written(drawing, "print")
    assert "class=" not in text
    assert "var(" not in text
    assert 'fill="#97164e"' in text
    assert not [token for token in LIGHT if f'fill="{token}"' in text or f'stroke="{token}"' in text]


def test_the_file_alone_has_its_own_colours_for_light_and_dark(drawing: Drawing) -> None:
    text = written(drawing, "alone")
    assert LIGHT["act"] in text
    assert DARK["act"] in text
    assert "prefers-color-scheme:dark" in text


@pytest.mark.parametrize("skin", ["classes", "print", "alone"])
def test_every_skin_is_sound_xml_with_the_same_words(drawing: Drawing, skin: str) -> None:
    root = fromstring(written(drawing, skin), forbid_dtd=True)  # type: ignore[arg-type]  # one of the three
    told = [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")]
    assert told == [shape.text for shape in drawing.all_shapes() if isinstance(shape, Words)]


def test_the_same_plan_gives_the_same_bytes(drawing: Drawing) -> None:
    assert written(course_strip(a_plan(), {"chews": 1}), "alone") == written(drawing, "alone")


def test_names_cannot_break_out_of_the_markup() -> None:
    case = a_case()
    hostile = '"><script>&</script>'
    items = tuple(item.model_copy(update={"name": hostile}) for item in case.items)
    race = case.race.model_copy(update={"name": hostile})
    text = written(course_strip(a_plan(case.model_copy(update={"items": items, "race": race}))), "classes")
    assert "<script" not in text
    root = fromstring(text, forbid_dtd=True)
    assert root[0].text == f"Course strip: {hostile}"
    assert hostile in [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")]


def test_a_spoken_label_goes_with_every_flag(drawing: Drawing) -> None:
    labels = [s.label for s in drawing.shapes if isinstance(s, Group) and s.key.startswith("stop")]
    assert labels[0] == "lemon gel + mouthful of water, 0:22, 4.6 km, Millrace"
    assert 'aria-label="lemon gel + mouthful of water, 0:22, 4.6 km, Millrace"' in written(drawing, "classes")


def test_lengths_have_one_decimal_and_the_strip_is_light(drawing: Drawing) -> None:
    text = written(drawing, "classes")
    assert not re.search(
        r"\d\.\d\d", re.sub(r"scale\([\d.]+\)|<path class=\"[fl]\"[^>]*>|<desc>.*?</desc>", "", text)
    )
    assert len(text) < 60_000


def test_numbers_have_no_negative_zero() -> None:
    assert [number(value) for value in (-0.04, 0, 1.0, 1.25, 12.96)] == ["0", "0", "1", "1.2", "13"]


def test_every_role_stands_in_the_style_sheet() -> None:
    sheet = style_sheet()
    assert [role for role in ROLES if f".strip .{role}{{" not in sheet] == []
    assert set(re.findall(r"var\(--([a-z0-9-]+)\)", sheet)) <= set(LIGHT)
    assert set(LIGHT) == set(DARK) == set(PRINT)


def test_every_mark_has_a_drawing_and_no_line_thinner_than_allowed() -> None:
    assert set(MARK_WORDS) <= set(MARKS)
    for name, strokes in MARKS.items():
        assert all(stroke.units >= 1.3 for stroke in strokes if stroke.kind == "line"), name
        assert fromstring(mark_svg(name), forbid_dtd=True) is not None
