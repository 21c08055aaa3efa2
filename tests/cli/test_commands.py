"""The commands as a person runs them: what they print, write and end with."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from ended import Command

DAY = "2026-11-25"
DEMO = Path(__file__).resolve().parents[2] / "src" / "provand" / "demo"
LATER = "2027-12-30"


@pytest.fixture
def starter(provand: Command, tmp_path: Path) -> Path:
    case = tmp_path / "my-case.toml"
    assert provand("new", str(case)).status == 0
    return case


def test_new_writes_a_case_that_check_takes_and_never_overwrites_it(provand: Command, starter: Path) -> None:
    assert provand("check", str(starter), "--as-of", DAY).status == 0
    before = starter.read_bytes()
    again = provand("new", str(starter))
    assert again.status == 2
    assert "my-case.toml" in again.err
    assert starter.read_bytes() == before


def test_plan_writes_every_piece_and_prints_the_code_that_stands_on_them(
    provand: Command, starter: Path, tmp_path: Path
) -> None:
    out = tmp_path / "plan"
    done = provand("plan", str(starter), "--out", str(out), "--as-of", DAY)
    assert done.status == 0, done.err
    names = {path.name for path in out.iterdir()}
    assert {"plan.json", "plan.pdf", "strip.pdf", "race.ics", "safety.pdf"} <= names
    assert "invented example" in done.out
    assert "Thirsty?" in done.out
    again = provand("plan", str(starter), "--out", str(tmp_path / "again"), "--as-of", DAY)
    assert again.status == 0
    for path in out.iterdir():
        assert path.read_bytes() == (tmp_path / "again" / path.name).read_bytes(), path.name


def test_a_case_on_hold_gives_the_safety_page_alone_and_refuses_everything_else(
    provand: Command, tmp_path: Path
) -> None:
    case, out = str(DEMO / "on-hold" / "case.toml"), tmp_path / "held"
    held = provand("plan", case, "--out", str(out), "--as-of", DAY)
    assert held.status == 3
    assert [path.name for path in out.iterdir()] == ["safety.pdf"]
    assert "g/h" not in held.out + held.err
    for words in (["explain", case], ["explain", case, "race.carb_g_per_h"], ["explain", case, "--json"]):
        refused = provand(*words, "--as-of", DAY)
        assert refused.status == 3, words
        assert "race.carb_g_per_h =" not in refused.out
        assert "ceiling" not in refused.out
    assert provand("check", case, "--as-of", DAY).status == 3


def test_too_hot_a_race_is_held_until_a_reason_is_named(
    provand: Command, starter: Path, tmp_path: Path
) -> None:
    text = starter.read_text()
    line = next(row for row in text.split("[weather]")[1].splitlines() if row.startswith("air_temp"))
    head, tail = text.split("[weather]")
    hot = tail.replace(line, 'air_temp = "33 to 36 C"')
    starter.write_text(f"{head}[weather]{hot}")
    held = provand("plan", str(starter), "--out", str(tmp_path / "hot"), "--as-of", DAY)
    assert held.status == 3
    assert "doctor" in held.err
    assert [path.name for path in (tmp_path / "hot").iterdir()] == ["safety.pdf"]
    reason = '[[wishes.overrides]]\nwhat = "race.heat"\nvalue = "as planned"\nby = "Robin Example"\n'
    why = f'on = {DAY}\nwhy = "the event moved the start to five in the morning"\n'
    starter.write_text(f"{starter.read_text()}\n{reason}{why}")
    issued = provand("plan", str(starter), "--out", str(tmp_path / "hot"), "--as-of", DAY)
    assert issued.status == 0, issued.err
    assert "Robin Example" in issued.out
    assert "1:52" not in issued.out


def test_without_health_answers_a_case_is_on_hold(provand: Command, starter: Path, tmp_path: Path) -> None:
    starter.with_name("my-case.health.toml").unlink()
    held = provand("plan", str(starter), "--out", str(tmp_path / "p"), "--as-of", DAY)
    assert held.status == 3
    assert [path.name for path in (tmp_path / "p").iterdir()] == ["safety.pdf"]


def test_the_examples_answers_count_for_no_other_name(
    provand: Command, starter: Path, tmp_path: Path
) -> None:
    health = starter.with_name("my-case.health.toml")
    name = next(line for line in health.read_text().splitlines() if line.startswith("athlete"))
    text = starter.read_text()
    owner = name.split('"')[1]
    starter.write_text(text.replace(owner, "Somebody Else"))
    other = provand("plan", str(starter), "--out", str(tmp_path / "p"), "--as-of", DAY)
    assert other.status == 2
    assert "Somebody Else" in other.err
    assert not (tmp_path / "p").exists()
    health.write_text(health.read_text().replace(owner, "Somebody Else"))
    starter.write_text(starter.read_text().replace("invented = true", "invented = false"))
    assert provand("plan", str(starter), "--out", str(tmp_path / "p"), "--as-of", DAY).status == 3


def test_explain_ends_at_the_text_as_typed(provand: Command) -> None:
    case = str(DEMO / "warm-hills" / "case.toml")
    listed = provand("explain", case, "--as-of", DAY, "--json")
    assert listed.status == 0, listed.err
    ids = {figure["id"] for figure in json.loads(listed.out)}
    assert {"race.carb_g_per_h", "ceiling.fluid_ml_per_race", "load.carb_g_per_day"} <= ids
    shown = provand("explain", case, "load.carb_g_per_day", "--as-of", DAY)
    assert 'typed "140 lb"' in shown.out
    near = provand("explain", case, "load.carb_g_per_dy", "--as-of", DAY)
    assert near.status == 2
    assert "load.carb_g_per_day" in near.err


@pytest.mark.parametrize(
    ("demo", "figure", "ends"),
    [
        ("first-timer", "intake.2.fluid_ml_per_race", 'assumed "not given, taken as 200 ml"'),
        ("warm-hills", "intake.1.fluid_ml_per_race", 'typed "60 g" per pack'),
        ("first-timer", "intake.1.fluid_ml_per_race", '"40 g, starter shelf: read your own pack" per pack'),
    ],
)
def test_the_fluid_of_an_intake_ends_at_its_cup_or_its_label(
    provand: Command, demo: str, figure: str, ends: str
) -> None:
    shown = provand("explain", str(DEMO / demo / "case.toml"), figure, "--as-of", DAY)
    assert shown.status == 0, shown.err
    assert ends in shown.out


def test_every_figure_of_the_plan_explains_itself_down_to_what_was_given(provand: Command) -> None:
    case = str(DEMO / "warm-hills" / "case.toml")
    listed = provand("explain", case, "--as-of", DAY, "--json")
    figures = {figure["id"]: figure for figure in json.loads(listed.out)}
    for figure in figures.values():
        assert set(figure["inputs"]) <= set(figures), figure["id"]
        assert figure["how"] in ("given", "rule") or figure["inputs"] or figure["how"] == "sum", figure["id"]
        assert figure["by"], figure["id"]
        if figure["how"] in ("equation", "simulated"):
            assert figure["source"], figure["id"]
            assert figure["mark"], figure["id"]


def test_items_lists_the_shelf_and_shows_one(provand: Command) -> None:
    assert "water" in provand("items").out
    shelf = json.loads(provand("items", "--json").out)
    one = provand("items", shelf[1]["id"])
    assert one.status == 0
    assert "contains" in one.out
    assert provand("items", "no-such-thing").status == 2


@pytest.mark.parametrize("of", ["case", "health", "plan"])
def test_schema_prints_a_json_schema(provand: Command, of: str) -> None:
    printed = json.loads(provand("schema", of).out)
    assert printed["type"] == "object"
    assert printed["additionalProperties"] is False


def test_schema_keys_name_unit_and_range(provand: Command) -> None:
    assert "25 to 250 kg" in provand("schema", "case", "--keys").out
    assert provand("schema", "plan", "--keys").status == 2
    assert provand("schema", "pln").status == 2


def test_equation_lists_computes_and_says_when_it_is_outside_its_range(provand: Command) -> None:
    assert "minetti_running_j_per_kg_per_m" in provand("equation", "--json").out
    inside = provand("equation", "minetti_running_j_per_kg_per_m", "--set", "grade_frac=0.05")
    assert "4.68519606 J/kg/m" in inside.out
    assert "caveat" not in inside.out
    outside = provand("equation", "minetti_running_j_per_kg_per_m", "--set", "grade_frac=0.6")
    assert outside.status == 0
    assert "caveat" in outside.out
    for words in (["--set", "grad=0.1"], ["--set", "grade_frac=steep"], []):
        ended = provand("equation", "minetti_running_j_per_kg_per_m", *words)
        assert ended.status == (2 if words else 0)
    assert provand("equation", "rigel_time").status == 2


def test_the_demo_four_hundred_days_later_tells_what_has_aged(provand: Command, tmp_path: Path) -> None:
    late = provand("demo", "--out", str(tmp_path / "demo"), "--as-of", LATER)
    assert late.status == 2
    assert "Traceback" not in late.err
    for told in late.out.split(": not planned")[1:]:
        assert "race" in told
        assert "body mass" in told
        assert "answer" in told
    assert late.out.count(": not planned") == 5
    assert not (tmp_path / "demo").exists()


def test_four_hundred_days_later_the_starter_is_a_past_race_and_the_answers_have_aged(
    provand: Command, starter: Path, tmp_path: Path
) -> None:
    late = provand("check", str(starter), "--as-of", LATER)
    assert late.status == 2
    assert "body mass" in late.err
    assert "past" in late.err.lower() or "before" in late.err.lower()
    moved = starter.read_text()
    race_day = next(line for line in moved.splitlines() if line.startswith("gun"))
    year = race_day.split("=")[1].strip()[:4]
    starter.write_text(moved.replace(race_day, race_day.replace(year, str(int(year) + 2), 1)))
    aged = provand("check", str(starter), "--as-of", LATER)
    assert aged.status == 3
    assert "body mass" in aged.out
    assert date.fromisoformat(LATER) > date.fromisoformat(DAY)


@pytest.mark.parametrize(
    "change", [("body_mass =", "body_mas =", "body_mass"), ('"Europe/', '"Europ/', "zone")]
)
def test_a_fault_in_the_file_ends_with_two_and_leaves_no_folder(
    provand: Command, starter: Path, tmp_path: Path, change: tuple[str, str, str]
) -> None:
    old, new, says = change
    text = starter.read_text()
    assert old in text
    starter.write_text(text.replace(old, new, 1))
    ended = provand("plan", str(starter), "--out", str(tmp_path / "plan"), "--as-of", DAY)
    assert ended.status == 2
    assert says in ended.err
    assert "Traceback" not in ended.err
    assert not (tmp_path / "plan").exists()
    told = provand("plan", str(starter), "--out", str(tmp_path / "plan"), "--as-of", DAY, "--json")
    assert json.loads(told.out)["status"] == 2


def test_a_missing_file_is_told_in_words(provand: Command, tmp_path: Path) -> None:
    ended = provand("plan", str(tmp_path / "none.toml"), "--out", str(tmp_path / "plan"))
    assert ended.status == 2
    assert "none.toml" in ended.err


def test_differs_tells_what_moved_between_a_plan_file_and_a_changed_case(
    provand: Command, starter: Path, tmp_path: Path
) -> None:
    provand("plan", str(starter), "--out", str(tmp_path / "old"), "--as-of", DAY)
    before = str(tmp_path / "old" / "plan.json")
    same = provand("differs", before, str(starter), "--as-of", DAY)
    assert same.out == "Nothing changed: it is the same plan.\n"
    goal = next(line for line in starter.read_text().splitlines() if line.startswith("goal = "))
    starter.write_text(starter.read_text().replace(goal, 'goal = "1:55"'))
    moved = provand("differs", before, str(starter), "--as-of", DAY)
    assert moved.status == 0, moved.err
    assert "-> 1:55." in moved.out
    held = provand("differs", before, str(starter), "--as-of", DAY, "--holder")
    assert "Given differently" not in held.out
    assert set(held.out.splitlines()) < set(moved.out.splitlines())
    data = json.loads(provand("differs", before, str(starter), "--as-of", DAY, "--json").out)
    assert [cause["about"] for cause in data["causes"]] == ["race.goal_s"]
    assert any(effect["small"] for effect in data["effects"])


def test_differs_refuses_a_case_on_hold_and_a_file_that_is_no_plan(provand: Command, tmp_path: Path) -> None:
    held = str(DEMO / "on-hold" / "case.toml")
    assert provand("differs", held, held, "--as-of", DAY).status == 3
    (tmp_path / "x.json").write_text("[]")
    ended = provand("differs", str(tmp_path / "x.json"), held, "--as-of", DAY)
    assert ended.status == 2
    assert "x.json" in ended.err
