"""A practice's own table, as spreadsheets write it: what is wrong is told by its place, nothing is lost."""

from __future__ import annotations

import math

import pytest

from provand.case.food_table import OwnTable, composition, own_table_of
from provand.finding import BadInput

HEADS = "name;available carb (g);fibre g;fat g;protein g;salt g;energy kcal"
ROWS = ("Brötchen;50,5;3,1;1,8;8,9;1,3;262", "Honig;82,4;0,2;0;0,3;0,01;330")


def table(*rows: str, heads: str = HEADS, encoding: str = "utf-8") -> OwnTable:
    return own_table_of("\r\n".join((heads, *rows)).encode(encoding), "ours.csv")


def faults(*rows: str, heads: str = HEADS) -> list[str]:
    with pytest.raises(BadInput) as refused:
        table(*rows, heads=heads)
    return [finding.line() for finding in refused.value.findings]


@pytest.mark.parametrize("encoding", ["latin-1", "utf-8", "utf-8-sig"])
def test_names_survive_their_encoding(encoding: str) -> None:
    assert [row.name for row in table(*ROWS, encoding=encoding).rows] == ["Brötchen", "Honig"]


def test_decimal_commas_and_points_are_read() -> None:
    comma = table(*ROWS).rows
    points = table(*(row.replace(",", ".") for row in ROWS)).rows
    commas = table(
        *(row.replace(",", ".").replace(";", ",") for row in ROWS), heads=HEADS.replace(";", ",")
    ).rows
    assert (
        [row.amounts for row in comma] == [row.amounts for row in points] == [row.amounts for row in commas]
    )
    assert comma[0].amounts["carb_g"] == 50.5


def test_thousands_are_told_from_decimals_by_the_rest_of_the_table() -> None:
    heads = "name;available carb g;sodium mg"
    (row, _) = table("Salz;0;38.758", "Brot;50,5;490", heads=heads).rows
    assert row.amounts["sodium_mg"] == 38758
    assert "has two readings" in faults("Salz;0;38.758", "Brot;50;490", heads=heads)[0]
    assert "has two readings" in faults("a;0;1.758", "b;50.5;490", "c;50,5;490", heads=heads)[0]


def test_an_empty_cell_is_unknown_and_a_trace_is_nought() -> None:
    first, second = table("Brot;50;;1;8;1,2;250", "Saft;10;Tr;N;0;0;").rows
    assert first.amounts["fibre_g"] is None
    assert second.amounts["fibre_g"] == 0 and second.amounts["fat_g"] is None
    assert second.amounts["energy_kcal"] is None


def test_whether_fibre_is_in_the_carbohydrate_must_be_said() -> None:
    told = faults("Brot;50", heads="name;carbohydrate g")
    assert "does not say whether fibre is in it" in told[0]


def test_total_carbohydrate_loses_its_fibre_and_without_it_is_unknown() -> None:
    heads = "name;total carb g;fibre g"
    bread, juice = table("Brot;53,6;3,1", "Saft;10;", heads=heads).rows
    assert composition(bread.amounts, "total").carb_g.mid == 50.5  # type: ignore[union-attr]
    assert composition(juice.amounts, "total").carb_g is None


def test_monosaccharide_equivalents_become_the_range_they_leave() -> None:
    (sugar,) = table("sugar;105", heads="name;monosaccharide carb g").rows
    carb = composition(sugar.amounts, "monosaccharide").carb_g
    assert carb is not None
    assert (carb.low, carb.high) == (pytest.approx(95.45, abs=0.01), 105)
    assert carb.low < 100 < carb.high


def test_salt_becomes_sodium_by_the_label_law() -> None:
    held = composition(table(*ROWS).rows[0].amounts, "available")
    assert held.sodium_mg is not None and held.sodium_mg.mid == pytest.approx(520)


def test_parts_above_100_g_are_refused_with_their_line() -> None:
    assert faults(ROWS[0], "Kuchen;60;2;31;10;1;560") == [
        "ours.csv, line 3: the parts come to 103 g of 100 g."
    ]


def test_kilojoules_under_kilocalories_are_refused() -> None:
    assert "it reads like kJ" in faults("Honig;82,4;0,2;0;0,3;0,01;1380", *ROWS[:1])[0]
    assert "it reads like kJ" in faults("Apfel;11,4;2,4;0,2;0,3;0;218")[0]


def test_more_energy_than_pure_fat_is_refused_though_the_parts_are_unknown() -> None:
    told = faults("Honig;82,4;;;;;1380")
    assert told == [
        "ours.csv, line 2: 1380 kcal cannot be in 100 g, fat itself holds less: it reads like kJ."
    ]


def test_kilocalories_under_kilojoules_are_refused() -> None:
    heads = "name;available carb g;fat g;protein g;energy kJ"
    assert "it reads like kcal" in faults("Honig;82,4;0;0,3;330", heads=heads)[0]


def test_negative_water_is_refused_with_line_and_column() -> None:
    told = faults("Brot;50,5;-3", heads="name;available carb g;water g")
    assert told == ["ours.csv, line 2, column 'water g': '-3' is outside what is allowed. Allowed: 0 to 100."]


def test_two_foods_of_one_name_are_refused() -> None:
    assert faults(*ROWS, "HONIG;80;0;0;0;0;320") == [
        "ours.csv, line 4: 'HONIG' stands in row 3, too. Give each food a name of its own."
    ]


def test_text_in_a_column_of_numbers_is_told() -> None:
    told = faults("Brot;viel;3;1;8;1;250")
    assert told[0].startswith("ours.csv, line 2, column 'available carb (g)': 'viel' is no number.")


def test_a_row_with_a_cell_too_many_is_told_and_not_cut() -> None:
    assert "the row has 8 cells, and the heads are 7" in faults("Brot;50;3;1;8;1;250;more")[0]


def test_a_missing_column_or_unit_is_told_before_any_row_is_read() -> None:
    assert "no column for carbohydrate" in faults("Brot;3", heads="name;fat g")[0]
    assert "no column for the name" in faults("Brot;3", heads="what;available carb g")[0]
    assert "does not say its unit" in faults("Brot;3", heads="name;available carb")[0]
    assert "would fill fat_g" in faults("B;3;1;1", heads="name;available carb g;fat g;total fat g")[0]


def test_columns_that_nothing_reads_are_named() -> None:
    read = table("Brot;50;B1", heads="name;available carb g;shelf")
    assert [note.line() for note in read.notes] == ["ours.csv: columns that were not read: shelf."]


def test_no_rows_are_told() -> None:
    assert "has no rows" in faults()[0]


def test_a_food_of_an_own_table_is_free_of_nothing_and_on_no_menu() -> None:
    food = table(*ROWS).food(0)
    assert food.refused_for(("milk",), (), "any") == "not stated to be free from milk"
    assert food.roles == () and food.kitchens == ()
    assert food.source_id == "ours.csv, line 2"


def big(faulty_line: int | None = None) -> bytes:
    lines = [HEADS]
    for at in range(50_000):
        carb, fat = at % 700 / 10, at % 90 / 10
        energy = round(4 * carb + 9 * fat + 6 + 20)
        lines.append(
            f"Käse-Brötchen Nr. {at};{carb};3,0;{fat};5,0;1,25;{energy}".replace(".", ",").replace(
                "Nr,", "Nr."
            )
        )
    if faulty_line is not None:
        lines[faulty_line - 1] = lines[faulty_line - 1].replace(";1,25;", ";1,25 g;")
    return "\r\n".join(lines).encode("latin-1")


def test_fifty_thousand_rows_in_latin_1_with_decimal_commas_lose_nothing() -> None:
    read = own_table_of(big(), "big.csv")
    assert len(read.rows) == 50_000
    assert read.rows[49_999].name == "Käse-Brötchen Nr. 49999"
    expected = math.fsum(at % 700 / 10 for at in range(50_000))
    assert math.fsum(row.amounts["carb_g"] or 0 for row in read.rows) == pytest.approx(expected)


def test_one_wrong_cell_among_fifty_thousand_rows_is_found() -> None:
    with pytest.raises(BadInput) as refused:
        own_table_of(big(faulty_line=40_002), "big.csv")
    (told,) = refused.value.findings
    assert told.line().startswith("big.csv, line 40002, column 'salt g': '1,25 g' is no number.")


def test_many_faults_are_counted_and_not_all_listed() -> None:
    told = faults(*(f"food {at};x;0;0;0;0;0" for at in range(100)))
    assert len(told) == 41
    assert "60 more faults" in told[-1]
