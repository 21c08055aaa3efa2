"""Write the pages of docs/ that are lists of what the program holds.

    python tools/make_docs.py

Each such page has a head written by hand, down to `MARK`; everything below it is made here, from the
commands, the records, the cards, the rules and the catalogue themselves. The same bytes each time.
"""

from __future__ import annotations

import doctest
import re
import sys
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import groupby
from pathlib import Path
from typing import Any

import typer
from typer.core import TyperArgument, TyperOption

from provand.card import Card, sources
from provand.case.case import Case
from provand.case.health import Health
from provand.case.keys import Key, key_table
from provand.cli.main import app
from provand.cli.options import GROUPS
from provand.finding import Entry, ProvandError, catalogue
from provand.pack.pieces import PIECES
from provand.physiology import all_cards
from provand.plan.explain import MARKS
from provand.protocol.rules import FACTS, OURS, SHIPPED, Note, Protocol, Rule, assumption, protocol
from provand.safety.flags import Flag, flags
from provand.safety.hazards import Control, Hazard, hazards
from provand.safety.medicines import medicine_classes
from provand.units import shown, shown_unit, unit_of

ROOT = Path(__file__).resolve().parents[1]
DOCS, PUBLISHED = ROOT / "docs", ROOT / "tests" / "published"
MUTATIONS = ROOT / "tests" / "hazards" / "mutations.toml"
MISTAKES = ROOT / "tests" / "mistakes.toml"
MARK = "<!-- Below this line `make docs` writes: change the program or its data, not this page. -->"
NOTHING = "-"


def table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Return a table in Markdown; a cell is one line, and `|` in it is no border."""
    lines = [list(heads)]
    lines += [["---"] * len(lines[0]), *([_cell(cell) for cell in row] for row in rows)]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines) + "\n"


def _cell(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|") or NOTHING


def code(text: str) -> str:
    """Return a text as code; nothing stays nothing."""
    return f"`{text}`" if text else ""


# Commands.

STATUSES = (
    (0, "done"),
    (1, "a fault of the program itself, with a traceback: please report it"),
    (130, "interrupted by the keyboard"),
)


def commands_page() -> str:
    """Return the exit statuses, then every command with its arguments, options and example."""
    made = [(error.status, _sentence(error)) for error in ProvandError.__subclasses__()]
    statuses = table(("status", "means"), ((str(s), words) for s, words in sorted([*STATUSES, *made])))
    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    grouped = {group: _in_group(commands, group) for group in GROUPS}
    links = [f"- {group}: {', '.join(map(_to_command, of))}" for group, of in grouped.items()]
    told = [_commands_told(group, all_commands(of)) for group, of in grouped.items()]
    return "\n".join([*links, "", "## Exit statuses\n", statuses, *told])


def _in_group(commands: Mapping[str, Any], group: str) -> dict[str, Any]:
    return {name: one for name, one in commands.items() if one.rich_help_panel == group}


def _to_command(name: str) -> str:
    return f"[{name}](#provand-{name})"


def _commands_told(group: str, commands: Mapping[str, Any]) -> str:
    return "\n".join([f"## {group}\n", *(_command(name, one) for name, one in commands.items())])


def all_commands(commands: Mapping[str, Any]) -> dict[str, Any]:
    """Return every command by its name, with the verbs of `change` after it: `change wave`."""
    found = {}
    for name, one in commands.items():
        found[name] = one
        found |= {f"{name} {verb}": inner for verb, inner in getattr(one, "commands", {}).items()}
    return found


def _sentence(error: type[ProvandError]) -> str:
    return f"{(error.__doc__ or '').strip()} (`{error.__name__}`)"


def _command(name: str, command: Any) -> str:
    arguments = [p for p in command.params if isinstance(p, TyperArgument)]
    options = [p for p in command.params if isinstance(p, TyperOption)]
    usage = [p.name.upper() if p.required else f"[{p.name.upper()}]" for p in arguments]
    usage += ["VERB"] * hasattr(command, "commands") + ["[OPTIONS]"] * bool(options)
    called = name.replace(" ", " CASE ")
    parts = [f"### provand {name}\n", f"{command.help}\n", f"    provand {called} {' '.join(usage)}\n"]
    rows = [(code(p.name.upper()), p.help or "", _left_out(p)) for p in arguments]
    rows += [(code(f"{', '.join(p.opts)}{_metavar(p)}"), p.help or "", _left_out(p)) for p in options]
    return "\n".join([*parts, table(("argument or option", "what", "left out"), rows), f"{command.epilog}\n"])


def _metavar(option: TyperOption) -> str:
    days = dict.fromkeys(("as_of", "on_day", "on", "until"), " YYYY-MM-DD")
    kinds = {**days, "out": " FOLDER", "case": " FILE"}
    return "" if option.is_flag else f" {option.metavar}" if option.metavar else kinds[option.name or ""]


def _left_out(parameter: TyperArgument | TyperOption) -> str:
    if parameter.required:
        return "must stand"
    default = parameter.show_default if isinstance(parameter.show_default, str) else parameter.default
    return str(default) if default not in (None, False) else NOTHING


# The case file.


def case_page() -> str:
    """Return every key of a case file, table by table, then of a health file."""
    parts = ["## The case: NAME.toml\n"]
    for head, keys in groupby(key_table(Case), key=lambda key: key.key.split(".")[0].removesuffix("[]")):
        parts += [f"### {head}\n", _keys(keys)]
    return "\n".join([*parts, "## The health answers: NAME.health.toml\n", _keys(key_table(Health))])


def _keys(keys: Iterable[Key]) -> str:
    rows = ((code(key.key), key.doc, key.allowed, "yes" if key.required else "") for key in keys)
    return table(("key", "what", "allowed", "must stand"), rows)


# Equations.

SECTION = re.compile(r"^(Parameters|Returns|Equation|Valid range|Source): ?", re.MULTILINE)


def sections(doc: str) -> dict[str, str]:
    """Return the named parts of an equation's docstring, each on one line."""
    prose = doc.split(">>>", 1)[0]
    parts = SECTION.split(prose)[1:]
    return {name: " ".join(text.split()) for name, text in zip(parts[::2], parts[1::2], strict=True)}


def equations_page() -> str:
    """Return every equation, grouped by subject."""
    cards = sorted(all_cards().values(), key=lambda card: (card.subject, card.name))
    grouped = {subject: list(group) for subject, group in groupby(cards, key=lambda card: card.subject)}
    links = [f"[{subject}](#{subject}) ({len(group)})" for subject, group in grouped.items()]
    parts = [f"{len(cards)} equations: {', '.join(links)}.\n"]
    for subject, group in grouped.items():
        parts += [f"## {subject}\n", f"Module: `src/provand/physiology/{subject}.py`\n"]
        parts += map(_equation, group)
    return "\n".join(parts)


def _equation(card: Card) -> str:
    told, holds = sections(card.doc), card.holds.items()
    lines = [f"### {card.name}\n", f"{card.summary}\n"]
    facts = [
        ("parameters", told["Parameters"]),
        ("returns", f"{told['Returns']} (`{card.gives}`)"),
        ("equation", code(told["Equation"])),
        ("valid range", told.get("Valid range", "")),
        ("range checked", "; ".join(f"`{name}` {low:g} to {high:g}" for name, (low, high) in holds)),
        ("turns in", ", ".join(map(code, card.turns))),
        ("who", card.population),
        ("source", f"{sources()[card.source].cite} ({_source(card.source)}); {card.at}"),
        ("doi", _doi(sources()[card.source].doi)),
        ("mark", f"{card.mark}: {MARKS[card.mark]}"),
        ("note", card.note),
        ("example", _example(card)),
    ]
    return "\n".join([*lines, *(f"- {name}: {text}" for name, text in facts if text), ""])


def _example(card: Card) -> str:
    example = doctest.DocTestParser().get_examples(card.doc)[-1]
    call, result = " ".join(example.source.split()), " ".join(example.want.split())
    return f"`{call}` gives `{result}`"


def _source(key: str) -> str:
    return f"[{key}](sources.md#{key})"


# Rules and assumptions.

EDGE_SIGNS = {"at_least": "≥", "above": ">", "at_most": "≤", "below": "<"}


def rules_page() -> str:
    """Return what a rule may ask, both protocols, and our own assumptions."""
    asked = table(("fact", "means"), ((code(name), what) for name, what in FACTS.items()))
    parts = ["## What a rule may ask\n", asked]
    for name in (*SHIPPED, *OURS):
        parts += _protocol(protocol(name))
    return "\n".join(parts)


def _protocol(whole: Protocol) -> Iterator[str]:
    yield f"## {whole.title}\n"
    yield f"Edition {whole.edition}, code `{whole.code}`, file `src/provand/protocol/{whole.id}.toml`.\n"
    heads = ("rule", "gives", "band", "when", "source and place", "mark", "since", "review by", "why")
    for group, rules in groupby(sorted(whole.rules, key=_group), key=_group):
        yield f"### {whole.title}: {group.replace('_', ' ')}\n"
        yield table(heads, ((*_rule(rule), *_stated(rule)) for rule in rules))
    if whole.notes:
        yield f"### {whole.title}: sentences without a number\n"
        rows = ((code(note.id), note.part, note.says, *_stated(note)) for note in whole.notes)
        yield table(("rule", "part", "says", *heads[3:]), rows)


def _group(rule: Rule) -> str:
    return rule.gives.split(".")[0]


def _rule(rule: Rule) -> tuple[str, str, str]:
    unit = shown_unit(rule.unit)
    likely = rule.band.mid != (rule.band.low + rule.band.high) / 2 or rule.sd is not None
    band = rule.shown() + (f"; middle {shown(rule.band.mid, rule.unit)}" if likely else "")
    band += f"; spread {shown(rule.sd, rule.unit)} {unit}".rstrip() if rule.sd is not None else ""
    return code(rule.id), code(rule.gives), band


def _stated(rule: Rule | Note) -> tuple[str, ...]:
    """Return what every rule and note says of itself: when it fires, source, mark, days, reason."""
    at = f"{_source(rule.source)}; {rule.at}" + (f"; strength: {rule.strength}" if rule.strength else "")
    return _when(rule), at, rule.mark, rule.since.isoformat(), rule.review_by.isoformat(), rule.note


def _when(rule: Rule | Note) -> str:
    asked = [
        fact if unit_of(fact) is None else f"{fact} {EDGE_SIGNS[edge]} {at:g}"
        for fact, window in rule.when.items()
        for edge, at in window.items()
    ]
    return ", ".join(map(code, asked)) or "always"


# The questions of screening.


def screening_page() -> str:
    """Return every question with what a yes comes to and what lifts it; the letters; the medicines."""
    parts = ["## The questions\n"]
    heads = ("id", "question", "a yes comes to", "what lifts it", "why it is asked", "mark, source")
    parts.append(table(heads, (row for flag in flags() for row in _asked(flag))))
    parts += ["## The letters\n", "What a letter about each question is about, and what it asks.\n"]
    letters = ((code(flag.id), flag.letter.about, *_asks(flag)) for flag in flags() if flag.letter)
    parts.append(table(("id", "about", "asks"), letters))
    parts += ["## The medicines\n", "Generic names of substances, from memory, by class.\n"]
    classes = (
        (group.title, ", ".join(map(code, group.flags)), code(group.usually_for), ", ".join(group.substances))
        for group in medicine_classes()
    )
    parts.append(table(("class", "raises", "mostly taken for", "substances"), classes))
    return "\n".join(parts)


def _asks(flag: Flag) -> Iterator[str]:
    if flag.letter:
        yield " ".join(flag.letter.asks)


def _asked(flag: Flag) -> Iterator[tuple[str, ...]]:
    asks = flag.asks + (f" Later: {flag.asks_again}" if flag.asks_again else "")
    asks += f" (Not asked after a no to `{flag.asked_after}`.)" if flag.asked_after else ""
    effect = [flag.outcome + (f"({', '.join(flag.withheld)})" if flag.withheld else "")]
    effect += ["letter"] * bool(flag.letter and flag.outcome in ("refer", "withheld"))
    effect += ["name the medicine"] * flag.by_medicine + ["name what is left out"] * flag.exclusions
    effect += [f"new within {flag.new_within_days} days: hold"] * bool(flag.new_within_days)
    effect += ["half the cool-air allowance"] * (flag.fluid_care == "half")
    effect += ["lower sodium line"] * flag.sodium_care + ["asked again in race week"] * flag.race_week
    if flag.caffeine_care:
        effect.append(f"caffeine at most {assumption('caffeine.pregnancy_day').shown()}")
    effect += [f"tell {flag.tell}"] * bool(flag.tell) + ["each later yes is new"] * flag.new_fact
    lifts = [f"time, after {flag.passes_after_days or flag.new_within_days} days" if way == "time" else way
             for way in flag.lifted_by]  # fmt: skip
    lifts += ["never by hand in race week"] * flag.not_by_hand_in_race_week
    lifts += [f"never by hand: {flag.never_by_hand}"] * bool(flag.never_by_hand)
    mark = f"{flag.mark}, {_source(flag.source)}" if flag.source else flag.mark
    yield code(flag.id), asks, "; ".join(effect), "; ".join(lifts), flag.why, mark
    for step in flag.follow_up:
        yield (
            code(step.id),
            f"After a yes: {step.asks}",
            f"anything but {step.must_be}: hold",
            "reply",
            "",
            flag.mark,
        )


# Findings and sources.


def findings_page() -> str:
    """Return every finding: its code, level, sentence and next step."""
    parts: list[str] = []
    for group, entries in groupby(catalogue().items(), key=lambda pair: pair[0].split(".")[0]):
        parts += [f"## {group}\n", table(("code", "level", "says", "next step"), map(_finding, entries))]
    return "\n".join(parts)


def _finding(pair: tuple[str, Entry]) -> tuple[str, str, str, str]:
    name, entry = pair
    return code(name), entry.level.value, entry.says, entry.next


def sources_page() -> str:
    """Return every source with what rests on it."""
    rests = _rests()
    rows = (
        (f'<a id="{key}"></a>{key}', one.cite, _doi(one.doi), ", ".join(rests.get(key, ())), one.note)
        for key, one in sorted(sources().items())
    )
    return table(("key", "source", "doi", "what rests on it", "note"), rows)


def _doi(doi: str) -> str:
    return f"[{doi}](https://doi.org/{doi})" if doi else ""


def _rests() -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for card in sorted(all_cards().values(), key=lambda card: card.name):
        found.setdefault(card.source, []).append(f"[{card.name}](equations.md#{card.name})")
    for name in (*SHIPPED, *OURS):
        for rule in (*protocol(name).rules, *protocol(name).notes):
            found.setdefault(rule.source, []).append(f"{name}/{rule.id}")
    for flag in flags():
        if flag.source:
            found.setdefault(flag.source, []).append(f"question {flag.id}")
    return found


# What published numbers are missed.


def known_misses_page() -> str:
    """Return every published number that an equation, or several together, are known to miss."""
    parts: list[str] = []
    for path in sorted(PUBLISHED.glob("*.toml")):
        rows = tomllib.loads(path.read_text("utf-8"))["row"]
        missed = [_missed(row) for row in rows if "known_failure" in row]
        if missed:
            heads = ("computed by", "published", "what is missed")
            parts += [f"## {path.stem}\n", table(heads, missed)]
    return "\n".join(parts)


def _missed(row: dict[str, Any]) -> tuple[str, str, str]:
    name = row.get("equation")
    what = f"[{name}](equations.md#{name})" if name else code(row["experiment"])
    return what, f"{_source(row['source'])}; {row['at']}", row["known_failure"]


# Hazards.


def hazards_page() -> str:
    """Return the list of hazards, then each with causes, controls, tests and what is left over."""
    heads = ("hazard", "worst", "controls", "broken on purpose")
    rows = (
        (f"[{one.title}](#{one.id})", one.severity, str(len(one.control)), str(len(_broken(one))))
        for one in hazards()
    )
    return "\n".join(["## The list\n", table(heads, rows), *map(_hazard, hazards())])


def _broken(hazard: Hazard) -> set[str]:
    """Return the controls of a hazard that the mutation check breaks."""
    entries = tomllib.loads(MUTATIONS.read_text("utf-8"))["mutation"]
    names = {entry["control"] for entry in entries}
    return {control.id for control in hazard.control if f"{hazard.id}.{control.id}" in names}


def _hazard(hazard: Hazard) -> str:
    facts = [
        ("worst", hazard.severity),
        ("harm", hazard.harm),
        ("causes", "; ".join(hazard.causes)),
        ("sources", ", ".join(map(_source, hazard.sources))),
        ("left over", hazard.left_over),
    ]
    broken = _broken(hazard)
    rows = (_control(control, broken) for control in hazard.control)
    lines = [f'<a id="{hazard.id}"></a>\n', f"## {hazard.title}\n"]
    lines += [f"- {name}: {text}" for name, text in facts if text]
    return "\n".join([*lines, "", table(("control", "what it does", "where", "the test that bites"), rows)])


def _control(control: Control, broken: set[str]) -> tuple[str, ...]:
    mark = " (broken on purpose)" if control.id in broken else ""
    tests = "; ".join(map(code, control.tests))
    return code(control.id) + mark, control.does, ", ".join(map(code, control.where)), tests


# Errors of the trade.


def mistakes_page() -> str:
    """Return each error that concerns food, with what is right and the tests that hold it."""
    entries = tomllib.loads(MISTAKES.read_text("utf-8"))["mistake"]
    rows = ((one["is"], one["right"], "; ".join(map(code, one["tests"]))) for one in entries)
    return table(("error", "right", "the test that holds it"), rows)


# The pieces of a pack.


def pack_page() -> str:
    """Return every piece with its files, in the order of the list."""
    rows = [
        (
            code(kind.id),
            f"{kind.name}: {kind.says}",
            code(sheet.name),
            sheet.says,
            "yes" if kind.by_default else "",
        )
        for kind in PIECES
        for sheet in kind.sheets
    ]
    heads = ("piece", "is", "file", "which holds", "by default")
    return "\n".join(["## The pieces\n", table(heads, rows)])


PAGES: dict[str, Callable[[], str]] = {
    "commands.md": commands_page,
    "case-file.md": case_page,
    "equations.md": equations_page,
    "rules.md": rules_page,
    "findings.md": findings_page,
    "screening.md": screening_page,
    "sources.md": sources_page,
    "known-misses.md": known_misses_page,
    "pack.md": pack_page,
    "hazards.md": hazards_page,
    "mistakes.md": mistakes_page,
}


def page(name: str) -> str:
    """Return a whole page: its head as it stands, and everything below the mark made anew."""
    head, mark, _ = (DOCS / name).read_text("utf-8").partition(MARK)
    if not mark:
        raise SystemExit(f"docs/{name} lacks the line: {MARK}")
    return f"{head}{MARK}\n\n{PAGES[name]().rstrip()}\n"


def main() -> None:
    for name in PAGES:
        text = page(name)
        if text != (DOCS / name).read_text("utf-8"):
            (DOCS / name).write_text(text, "utf-8")
            print(f"docs/{name}", file=sys.stderr)


if __name__ == "__main__":
    main()
