"""The shelf: items with what one holds, a label as it is printed, what a race file takes of it."""

from __future__ import annotations

import pytest
from django.test import Client
from practice import person
from race_pages import HTMX, body, now, opened, post

from provand.workspace import desk as desks
from provand.workspace.ledger import Ledger
from provand.workspace.models import Audit, Label

TYPED = {
    "name": "House gel",
    "texture": "gel",
    "with_water": "yes",
    "pocket": "40 ml",
    "label.convention": "EU",
    "label.basis": "100 g",
    "label.pack": "60 g",
    "label.carb": "40 g",
    "label.fibre": "0 g",
    "label.sugars": "18 g",
    "label.fructose": "12 g",
    "label.salt": "0.2 g",
    "label.caffeine": "0 mg",
    "label.ingredients": "water, maltodextrin, fructose, salt",
    "contains": ["fructose"],
    "free_from": ["gluten", "milk"],
    "label.seen_on": "1 Nov 2026",
}


def test_the_shelf_lists_what_one_of_each_holds(alba: Client) -> None:
    page = body(alba.get("/shelf"))
    assert "No label of this practice yet" in page
    assert "gel-25-caffeine" in page


def test_what_a_label_does_not_tell_is_unknown_and_never_zero(alba: Client) -> None:
    alba.post("/shelf/new", TYPED | {"label.salt": "", "label.caffeine": ""})
    page = body(alba.get("/shelf"))
    assert page.count("unknown") == 2


def test_a_label_is_kept_as_printed_and_shown_by_the_pack(alba: Client) -> None:
    assert alba.post("/shelf/new", TYPED).headers["Location"] == "/shelf"
    page = body(alba.get("/shelf"))
    assert '<a href="/shelf/house-gel">House gel</a>' in page
    assert "24 g" in page
    audit = Audit.objects.order_by("id").last()
    assert audit is not None
    assert (audit.what, audit.by) == ("label", "Alba Inventada")
    assert 'carb = "40 g"' in audit.after
    form = body(alba.get("/shelf/house-gel"))
    assert 'value="40 g"' in form
    assert 'value="milk" checked' in form


def test_a_label_typed_anew_stands_beside_what_it_was(alba: Client) -> None:
    alba.post("/shelf/new", TYPED)
    alba.post("/shelf/house-gel", TYPED | {"label.carb": "45 g"})
    assert Label.objects.count() == 2
    assert "27 g" in body(alba.get("/shelf"))
    alba.post("/shelf/house-gel", TYPED | {"label.carb": "45 g"})
    assert Label.objects.count() == 2


def test_two_items_of_one_name_have_two_ids(alba: Client) -> None:
    for _ in range(2):
        alba.post("/shelf/new", TYPED)
    assert set(Label.objects.values_list("item", flat=True)) == {"house-gel", "house-gel-2"}


def test_a_pack_may_have_two_sizes(alba: Client) -> None:
    assert alba.post("/shelf/new", TYPED | {"label.pack": "60 g and 50 ml"}).status_code == 302
    assert 'value="60 g and 50 ml"' in body(alba.get("/shelf/house-gel"))


@pytest.mark.parametrize(
    ("spoilt", "said"),
    [
        (
            {"label.carb": "4 g", "label.sugars": "2 g", "label.fructose": "1 g"},
            "were 'per 100 g' and 'per serving' mixed up?",
        ),
        ({"label.carb": "140 g"}, "140 g of carbohydrate cannot be in 100 g"),
        ({"label.carb": "40"}, "has more than one reading"),
        ({"label.carb": "-1 g"}, "outside what is allowed"),
        ({"label.pack": ""}, "the pack needs its size in the same unit"),
        ({"label.basis": ""}, "Printed for is still empty."),
        ({"texture": "paste"}, "is not a choice"),
        ({"name": "x" * 41}, "at most 40 letters"),
        ({"name": ""}, "Name is still empty."),
        ({"contains": ["milk"], "free_from": ["milk"]}, "cannot be both contained and absent"),
        ({"label.sodium": "500 mg"}, "Salt and sodium disagree"),
        ({"divides_into": "half"}, "a whole number"),
        ({"label.ingredients": "x" * 20_000}, "letters do not fit here"),
        ({"label.seen_on": "3/4/2026"}, "3/4/2026"),
    ],
)
def test_a_label_that_cannot_be_says_why_and_keeps_what_was_typed(
    alba: Client, spoilt: dict[str, str], said: str
) -> None:
    answer = alba.post("/shelf/new", TYPED | spoilt)
    assert answer.status_code == 422
    assert said in body(answer)
    assert 'value="0.2 g"' in body(answer)
    assert not Label.objects.exists()


def test_a_reading_is_a_button_that_mends(alba: Client) -> None:
    answer = alba.post("/shelf/new", TYPED | {"label.carb": "40"})
    assert 'value="label.carb=40 g"' in body(answer)
    mended = alba.post("/shelf/new", TYPED | {"label.carb": "40", "take": "label.carb=40 g"}, headers=HTMX)
    assert 'name="label.carb" value="40 g"' in body(mended)
    assert "more than one reading" not in body(mended)


def test_a_race_file_takes_an_item_that_it_names_and_keeps_it(alba: Client, ledger: Ledger) -> None:
    alba.post("/shelf/new", TYPED | {"name": "Hut gel"})
    desk = opened(ledger)
    assert '<option value="hut-gel">Hut gel</option>' in body(alba.get(f"/files/{desk.pk}"))
    post(alba, desk, fields={"athlete.rehearsed[3].item": "hut-gel"})
    read = desks.read(now(desk), as_of=desks.date(2026, 11, 25))
    assert read.case
    item = read.case.item("hut-gel")
    assert item
    assert item.holds.carb_g
    assert item.holds.carb_g.mid == 24
    alba.post("/shelf/hut-gel", TYPED | {"name": "Hut gel", "label.carb": "45 g"})
    post(alba, desk, fields={"athlete.rehearsed[3].rate": "30 g/h"})
    again = desks.read(now(desk), as_of=desks.date(2026, 11, 25)).case
    assert again
    assert again.item("hut-gel") == item


def test_an_item_is_taken_off_the_shelf(alba: Client) -> None:
    alba.post("/shelf/new", TYPED)
    assert alba.post("/shelf/house-gel/off").status_code == 302
    assert "house-gel" not in body(alba.get("/shelf"))
    assert alba.get("/shelf/house-gel").status_code == 404
    assert alba.post("/shelf/house-gel/off").status_code == 404


def test_everybody_of_the_practice_reads_and_types_labels(bo: Client, dana: Client) -> None:
    assert dana.post("/shelf/new", TYPED).status_code == 302
    assert "House gel" in body(bo.get("/shelf"))
    audit = Audit.objects.order_by("id").last()
    assert audit is not None
    assert audit.by == person("Dana").name


def test_what_is_not_there_and_wrong_methods(alba: Client) -> None:
    assert alba.get("/shelf/nothing").status_code == 404
    assert alba.post("/shelf/nothing", TYPED).status_code == 404
    assert alba.get("/shelf/gel-25").status_code == 404
    assert alba.post("/shelf").status_code == 405
    assert alba.get("/shelf/nothing/off").status_code == 405


@pytest.mark.parametrize(
    "text", ["<script>x</script>", "\x00", "\u202ex", "😀" * 30, "\"'\\", "x" * 1_000_000]
)
@pytest.mark.parametrize("key", ["name", "label.pack", "label.ingredients", "contains", "label.seen_on"])
def test_whatever_is_typed_is_no_error_of_ours_and_never_runs(alba: Client, key: str, text: str) -> None:
    answer = alba.post("/shelf/new", TYPED | {key: text})
    assert answer.status_code in (302, 422)
    assert "<script>x" not in answer.content.decode() + alba.get("/shelf").content.decode()
