"""The pages of docs/ say what the program holds: lists are made from it, prose is held to it, links lead."""

from __future__ import annotations

import importlib
import re
import sys
import tomllib
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, get_args

import pytest
import typer
from source_tree import ROOT, SRC

from provand.card import Mark, sources
from provand.case.case import Case
from provand.case.door import case_of, in_folder
from provand.case.keys import key_table
from provand.cli.main import app
from provand.figure import Figure, How, Means
from provand.finding import BadInput, Level, catalogue
from provand.pack.write import NAMES
from provand.physiology import all_cards
from provand.plan.document import Plan, RaceSchedule
from provand.protocol.rules import OURS, SHIPPED, assumption, protocol
from provand.units import read_range, unit_of

sys.path.insert(0, str(ROOT / "tools"))
make_docs = importlib.import_module("make_docs")

DOCS = ROOT / "docs"
ASSUMED = {rule.id for name in OURS for rule in protocol(name).rules}
PAGES = sorted([ROOT / "README.md", ROOT / "CONTRIBUTING.md", *DOCS.rglob("*.md")])
IDS = [path.relative_to(ROOT).as_posix() for path in PAGES]


@cache
def text(name: str) -> str:
    return (DOCS / name).read_text("utf-8")


def commands() -> dict[str, Any]:
    found: dict[str, Any] = make_docs.all_commands(typer.main.get_command(app).commands)
    return found


# Lists that are made.


@pytest.mark.parametrize("name", make_docs.PAGES)
def test_a_generated_page_is_what_would_be_made_now(name: str) -> None:
    assert text(name) == make_docs.page(name), f"docs/{name} is out of step: run `make docs`"


def test_every_command_option_and_example_is_documented() -> None:
    page = text("commands.md")
    for name, command in commands().items():
        assert f"\n### provand {name}\n" in page
        section = re.split(r"\n#{2,3} ", page.split(f"\n### provand {name}\n", 1)[1])[0]
        for parameter in command.params:
            told = parameter.opts[0] if parameter.opts[0].startswith("-") else parameter.name.upper()
            assert re.search(rf"`{told}[ `]", section), f"{name}: {told}"
        assert "Example: `provand " in section


@pytest.mark.parametrize("status", [0, 1, 2, 3, 4, 5, 130])
def test_every_exit_status_is_documented(status: int) -> None:
    assert re.search(rf"^\| {status} \| \w", text("commands.md"), re.MULTILINE)


def test_every_finding_equation_rule_and_source_is_documented() -> None:
    rules = [entry.id for name in SHIPPED for entry in (*protocol(name).rules, *protocol(name).notes)]
    rules += sorted(ASSUMED)
    absent = [code for code in catalogue() if f"| `{code}` |" not in text("findings.md")]
    absent += [name for name in all_cards() if f"\n### {name}\n" not in text("equations.md")]
    absent += [rule for rule in rules if f"| `{rule}` |" not in text("rules.md")]
    absent += [key for key in sources() if f'<a id="{key}"></a>{key} |' not in text("sources.md")]
    assert not absent


@pytest.mark.parametrize("name", ["starter.toml", "starter.health.toml"])
def test_every_key_of_the_starter_is_documented(name: str) -> None:
    def keys(data: Any, prefix: str) -> set[str]:
        found: set[str] = set()
        for key, value in data.items():
            inner = [value] if isinstance(value, dict) else value if isinstance(value, list) else []
            tables = [entry for entry in inner if isinstance(entry, dict)]
            place = f"{prefix}{key}" + ("[]" if tables and isinstance(value, list) else "")
            found.add(place)
            for entry in tables:
                found |= keys(entry, f"{place}.")
        return found

    typed = keys(tomllib.loads((SRC / "case" / name).read_text("utf-8")), "")
    assert not [key for key in sorted(typed) if f"\n| `{key}` |" not in text("case-file.md")]


def test_an_equation_tells_parameters_result_formula_and_source() -> None:
    wanted = {"Parameters", "Returns", "Equation", "Source"}
    short = {n: told for n, c in all_cards().items() if (told := wanted - set(make_docs.sections(c.doc)))}
    assert not short


# Prose that is held to the program.


def rows_of(page: str, head: str) -> list[list[str]]:
    """Return the rows of the first table of a page that has this head."""
    lines = text(page).split(f"{head}\n", 1)[1].splitlines()
    rows = []
    for line in lines[1:]:
        if not line.startswith("|"):
            break
        rows.append([cell.strip().strip("`") for cell in line.strip("|").split("|")])
    return rows


BOUNDS = {
    "body_mass_kg": (25, 250), "height_m": (1.2, 2.4), "goal_s": (600, 172_800), "finish_s": (600, 172_800),
    "air_temp_c": (-20, 48), "drunk_ml": (0, 5000), "distance_m": (3000, 200_000), "rate_g_per_h": (0, 150),
    "speed_m_per_s": (1, 7), "humidity_frac": (0, 1), "fill_frac": (0.05, 1),
}  # fmt: skip
HEADS = ("| typed | for | read as |", "| typed | for | low, likely, high |")


@pytest.mark.parametrize("row", [row for head in HEADS for row in rows_of("case-file.md", head)], ids=str)
def test_an_entry_of_the_docs_is_read_as_they_say(row: list[str]) -> None:
    typed, field, expected = row
    low, mid, high = read_range(typed, unit_of(field) or "", field, *BOUNDS[field])
    shown = [f"{end:.9g}" for end in (low, mid, high)]
    assert ", ".join(dict.fromkeys(shown)) == expected


@pytest.mark.parametrize("row", rows_of("case-file.md", "| typed | for | because |"), ids=str)
def test_an_entry_that_the_docs_call_refused_is_refused(row: list[str]) -> None:
    typed, field, because = row
    with pytest.raises(BadInput) as refused:
        read_range(typed, unit_of(field) or "", field, *BOUNDS[field])
    assert [finding.code for finding in refused.value.findings] == [because]


def test_what_is_taken_for_a_key_left_out_is_told() -> None:
    told = dict(rows_of("case-file.md", "| key | taken as |"))
    data = tomllib.loads((SRC / "case" / "starter.toml").read_text("utf-8"))
    data.pop("items")
    for key in key_table(Case):
        if not key.required and re.match(r"-?[\d.,:]+ to ", key.allowed):
            drop(data, key.key.split("."))
    case = case_of(data, beside=in_folder(SRC / "case"), as_of=date(2026, 11, 25))
    taken = {path: one.text for path, one in case.origins.items() if one.text.startswith("not given")}
    found = {key_of(path): words.removeprefix("not given, taken as ") for path, words in taken.items()}
    assert found == told


def drop(data: dict[str, Any], path: list[str]) -> None:
    """Take a key out of plain data, out of every table of a list."""
    name, *rest = path
    if not rest:
        data.pop(name, None)
        return
    inner = data.get(name.removesuffix("[]"), [] if name.endswith("[]") else {})
    for table in inner if name.endswith("[]") else [inner]:
        drop(table, rest)


def key_of(path: str) -> str:
    """Return the key that people type for a path of a case: `a.0.eaten_g` is `a[].eaten`."""
    unit = unit_of(path) or ""
    return re.sub(r"\.\d+", "[]", path).removesuffix("_" + unit.replace("/", "_per_"))


@pytest.mark.parametrize("path", PAGES, ids=IDS)
def test_an_assumption_is_quoted_with_its_value(path: Path) -> None:
    quoted = re.findall(r"`([a-z_]+\.[a-z_]+)`: ([^),;]+)", path.read_text("utf-8"))
    for rule_id, value in quoted:
        if rule_id in ASSUMED:
            assert value == assumption(rule_id).shown(), rule_id


def test_the_ceilings_are_told_with_their_values() -> None:
    page = text("how-it-computes.md")
    ceilings = [rule_id for rule_id in ASSUMED if rule_id.startswith("ceiling.")]
    assert not [rule_id for rule_id in ceilings if f"`{rule_id}`: " not in page]


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ("findings.md", [f"\n| {level.value} | " for level in Level]),
        ("plan-file.md", [f"`{name}`" for name in Plan.model_fields]),
        ("plan-file.md", [f"`{name}`" for name in Figure.model_fields]),
        ("plan-file.md", [f"`{name}`" for name in RaceSchedule.model_fields]),
        ("plan-file.md", [f"| `{name}` |" for name in NAMES]),
        ("plan-file.md", [f"| `{mark}` |" for mark in get_args(Mark)]),
        ("plan-file.md", [f"| `{means}` |" for means in get_args(Means)]),
        ("plan-file.md", [f"`{how}`" for how in get_args(How)]),
    ],
)
def test_a_closed_list_is_told_whole(page: str, words: list[str]) -> None:
    assert not [word for word in words if word not in text(page)]


def test_every_package_is_on_the_map() -> None:
    packages = {path.parent.name for path in SRC.glob("*/__init__.py")} | {"sources", "demo"}
    assert not [name for name in sorted(packages) if f"src/provand/{name}/" not in text("index.md")]


def test_every_page_is_on_the_map() -> None:
    linked = set(re.findall(r"\]\(([\w-]+\.md)", text("index.md")))
    assert {path.name for path in DOCS.glob("*.md")} - linked == {"index.md"}


# What is named exists.


@pytest.mark.parametrize("path", PAGES, ids=IDS)
def test_links_lead_to_files_and_headings(path: Path) -> None:
    dead = []
    for target in re.findall(r"\]\(([^)\s]+)\)", path.read_text("utf-8")):
        if re.match(r"https?:", target):
            continue
        name, _, anchor = target.partition("#")
        file = (path.parent / name).resolve() if name else path
        if not file.exists() or (anchor and anchor not in anchors(file)):
            dead.append(target)
    assert not sorted(set(dead))


@cache
def anchors(path: Path) -> frozenset[str]:
    """Return the anchors of a page: its own, and those of its headings as readers of Markdown make them."""
    page = path.read_text("utf-8")
    heads = re.findall(r"^#+ (.+)$", page, re.MULTILINE)
    made = {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}
    return frozenset(made | set(re.findall(r'<a id="([^"]+)">', page)))


@pytest.mark.parametrize("path", PAGES, ids=IDS)
def test_files_that_are_named_exist(path: Path) -> None:
    named = re.findall(
        r"`((?:src|tests|docs|tools|bench|requirements)/[\w./-]*\w/?)`", path.read_text("utf-8")
    )
    assert not [name for name in named if not (ROOT / name).exists()]


@pytest.mark.parametrize("path", PAGES, ids=IDS)
def test_commands_that_are_named_exist_with_their_options(path: Path) -> None:
    page, known = path.read_text("utf-8"), commands()
    for line in re.findall(r"(?:`|\$ )provand ([^`\n]+)", page):
        name, *words = line.split()
        if hasattr(known.get(name), "commands"):
            verb = next((word for word in words if f"{name} {word}" in known), "")
            name = f"{name} {verb}".strip()
        if name in known:
            options = {"--help", *(o for p in known[name].params for o in (*p.opts, *p.secondary_opts))}
            assert not [word for word in words if word.startswith("--") and word not in options], line
        else:
            assert name.startswith("-"), f"there is no command {name}: {line}"


@pytest.mark.parametrize("path", PAGES, ids=IDS)
def test_make_targets_that_are_named_exist(path: Path) -> None:
    targets = set(re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text("utf-8"), re.MULTILINE))
    assert set(re.findall(r"`make ([a-z-]+)", path.read_text("utf-8"))) <= targets
