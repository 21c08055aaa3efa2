"""Labels: each in its cell, one for each pack that is brought, no time on a bottle."""

from __future__ import annotations

import pytest
from paper import is_tagged, pages, said, words
from plans import a_case, a_plan, a_stop, a_take, cleared

from provand.finding import CannotWork
from provand.pack.labels import A4_MM, LARGE, SMALL, Stock, label_data, label_sheets, packs
from provand.pack.write import pack_files
from provand.plan.document import Plan


def many(count: int) -> Plan:
    """Return a plan with so many gels from the pocket, each at a place of its own."""
    case = a_case()
    gel = a_take("gel", case)
    return a_plan(case, stops=tuple(a_stop(500.0 + 250 * n, gel, case=case) for n in range(count)))


def leads(plan: Plan) -> list[str]:
    return [label["lead"] for label in label_data(plan, LARGE)["labels"]]


def test_the_margins_are_what_is_left_of_an_a4_sheet() -> None:
    assert LARGE.margins_mm == pytest.approx((0, 0.5))
    assert SMALL.margins_mm == pytest.approx((4.75, 10.7))
    for stock in (LARGE, SMALL):
        left, top = stock.corner_mm(stock.count - 1)
        assert left + stock.label_mm[0] == pytest.approx(A4_MM[0] - stock.margins_mm[0])
        assert top + stock.label_mm[1] == pytest.approx(A4_MM[1] - stock.margins_mm[1])
    assert (LARGE.count, SMALL.count) == (24, 65)


@pytest.mark.parametrize("stock", [LARGE, SMALL], ids=["24", "65"])
def test_every_word_stands_inside_its_own_cell_and_every_cell_is_used_once(stock: Stock) -> None:
    plan = many(stock.count - 2)
    data = label_sheets(plan, stock, first=3)
    assert pages(data) == (2 if stock is LARGE else 1)
    left_mm, top_mm = stock.margins_mm
    cells: dict[int, list[str]] = {}
    for word in words(data):
        if word.page > 1 or word.size_pt < stock.small_pt - 0.01:
            continue  # the sheet's own words
        column = int((word.left_mm - left_mm) // (stock.label_mm[0] + stock.gap_mm))
        row = int((word.top_mm - top_mm) // stock.label_mm[1])
        corner = stock.corner_mm(row * stock.across_count + column)
        inset = stock.inset_mm - 0.5
        assert word.left_mm >= corner[0] + inset
        assert word.left_mm + word.width_mm <= corner[0] + stock.label_mm[0] - inset
        assert word.top_mm >= corner[1] + inset - 1
        assert word.top_mm + word.height_mm <= corner[1] + stock.label_mm[1] - inset + 1
        cells.setdefault(row * stock.across_count + column, []).append(word.text)
    assert sorted(cells) == list(range(2, stock.count))
    for number, place in enumerate(sorted(cells), 1):
        assert cells[place][0] == str(number)
        assert plan.code in cells[place]


def test_a_label_tells_number_caffeine_time_name_initials_and_code() -> None:
    assert leads(a_plan()) == ["1 / 0:22", "2 / 0:39", "3 C / 1:15"]
    told = said(label_sheets(a_plan(), LARGE))
    assert f"3 C / 1:15 gel with caffeine T. A. {a_plan().code}" in told
    assert [label["marks"] for label in label_data(a_plan(), LARGE)["labels"]] == [[], [], ["caffeine"]]


def test_struck_times_give_way_to_kilometres() -> None:
    assert leads(a_plan(time_struck=True)) == ["1 / km 4.6", "2 / km 7.9", "3 C / km 13.4"]


def test_a_pack_that_is_eaten_in_parts_has_one_label_with_all_its_times() -> None:
    case = a_case()
    half = a_take("chews", case, portion=0.5)
    stops = tuple(a_stop(at, half, case=case) for at in (4000.0, 8000.0, 12_000.0))
    plan = a_plan(case, stops=stops)
    assert [len(pack.stops) for pack in packs(plan)] == [2, 1]
    assert leads(plan)[0].count("+") == 1


def test_two_packs_at_once_have_a_label_each() -> None:
    case = a_case()
    plan = a_plan(case, stops=(a_stop(4600.0, a_take("gel", case, portion=2), case=case),))
    assert leads(plan) == ["1 / 0:22", "2 / 0:22"]


def test_a_bottle_has_one_label_and_no_time() -> None:
    case = a_case()
    sip = a_take("sports-drink", case, amount="mouthful")
    whole = a_take("water", case)
    stops = (a_stop(4000.0, sip, case=case), a_stop(8000.0, sip, case=case), a_stop(9000.0, whole, case=case))
    assert leads(a_plan(case, stops=stops)) == ["1", "2"]


def test_what_a_station_serves_has_no_label_and_then_there_is_no_sheet() -> None:
    case = a_case()
    drink = a_take("sports-drink", case, got_from="station", amount="half")
    plan = a_plan(case, stops=(a_stop(9100.0, drink, case=case, station="Tollgate"),))
    assert packs(plan) == ()
    assert pack_files(cleared(plan), pieces=("labels",)) == ()
    assert [file.name for file in pack_files(cleared(), pieces=("labels",))] == [
        "labels-24.pdf",
        "labels-65.pdf",
    ]


def test_labels_that_are_used_up_are_left_free_and_a_full_sheet_goes_on_to_the_next() -> None:
    placed = label_data(many(30), LARGE, first=20)["labels"]
    assert [(one["sheet"], one["left_mm"], one["top_mm"]) for one in placed[:1]] == [(1, 70, 222.5)]
    assert [one["sheet"] for one in placed] == [1] * 5 + [2] * 24 + [3]


def test_a_first_label_that_a_sheet_does_not_have_is_counted_on_from_its_beginning() -> None:
    placed = label_data(many(1), LARGE, first=27)["labels"]
    assert [(one["sheet"], one["left_mm"], one["top_mm"]) for one in placed] == [(1, 140, 0.5)]


@pytest.mark.parametrize("stock", [LARGE, SMALL], ids=["24", "65"])
def test_a_long_name_is_cut_to_two_lines_and_stays_inside(stock: Stock) -> None:
    case = a_case()
    gel = a_take("gel", case).model_copy(update={"name": "W" * 19 + " " + "M" * 20})
    stops = tuple(a_stop(4000.0 + 4000 * n, gel, case=case) for n in range(2))
    (one, _) = label_data(a_plan(case, stops=stops), stock)["labels"]
    assert len(one["name"]) <= 2
    for word in words(label_sheets(a_plan(case, stops=stops), stock)):
        if "W" in word.text or "MM" in word.text:
            assert word.width_mm <= stock.label_mm[0] - 2 * stock.inset_mm + 0.1


def test_the_sheet_is_tagged_says_who_made_it_and_is_the_same_every_time() -> None:
    for stock in (LARGE, SMALL):
        data = label_sheets(a_plan(), stock)
        assert is_tagged(data)
        told = said(data)
        for part in (
            "Made for Tove Askerby by Ines Halloway",
            "no medical advice",
            "Invented",
            "actual size",
        ):
            assert part in told
        assert data == label_sheets(a_plan(), stock)
        assert a_plan().code not in said(label_sheets(a_plan(), stock, draft=True))


def test_a_weight_in_a_name_is_refused_as_on_the_strip() -> None:
    case = a_case()
    gel = a_take("gel", case).model_copy(update={"name": "gel of 25 g"})
    with pytest.raises(CannotWork, match="25 g"):
        label_sheets(a_plan(case, stops=(a_stop(4000.0, gel, case=case),)), SMALL)
