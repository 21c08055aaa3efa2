"""A practice's own table of foods at the door: rows per 100 g from a spreadsheet's CSV, or all that is wrong.

Encoding (UTF-8, else Latin-1), separator and decimal sign are found in the file. No row is dropped: each
becomes a food, or is named with its row and column.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Literal, NamedTuple

from provand.case.files import MAX_TRACK_BYTES, read_bytes, text_in
from provand.figure import Range
from provand.finding import BadInput, Finding, find
from provand.larder.composition import Composition
from provand.larder.food import Bought, Food, Portion
from provand.larder.parts import SLACK_G, Parts, energy_faults
from provand.record import rounded

TABLES = (".csv", ".tsv", ".txt")
CarbKind = Literal["available", "total", "monosaccharide"]
MOST_FAULTS = 40
"""Ours: as many faults are told one by one; the others are counted."""
MONOSACCHARIDE = 1.10
"""Starch in monosaccharide equivalents weighs so many times more, single sugars no more (S11, UK table)."""


class Kind(NamedTuple):
    """What a column may hold: words of its head, units allowed with how many of ours one is, its most."""

    field: str
    words: tuple[str, ...]
    units: dict[str, float]
    most: float


GRAM = {"g": 1.0}
KINDS = (
    Kind("carb_g", ("carb", "carbs", "carbohydrate", "carbohydrates"), GRAM, 110.0),
    Kind("fibre_g", ("fibre", "fiber"), GRAM, 100.0),
    Kind("sugars_g", ("sugars", "sugar"), GRAM, 105.3),
    Kind("starch_g", ("starch",), GRAM, 110.0),
    Kind("fat_g", ("fat",), GRAM, 100.0),
    Kind("protein_g", ("protein",), GRAM, 100.0),
    Kind("water_ml", ("water",), {"g": 1.0, "ml": 1.0}, 100.0),
    Kind("alcohol_g", ("alcohol",), GRAM, 100.0),
    Kind("fructose_g", ("fructose",), GRAM, 100.0),
    Kind("salt_g", ("salt",), GRAM, 100.0),
    Kind("sodium_mg", ("sodium",), {"mg": 1.0, "g": 1000.0}, 40_000.0),
    Kind("caffeine_mg", ("caffeine",), {"mg": 1.0, "g": 1000.0}, 20_000.0),
    Kind("energy_kcal", ("energy", "kcal"), {"kcal": 1.0}, 3900.0),
    Kind("energy_kj", ("energy", "kj"), {"kj": 1.0}, 3900.0),
)
NAMES = ("name", "food", "description")
CARB_KINDS: tuple[CarbKind, ...] = ("available", "total", "monosaccharide")
UNITS = {unit for kind in KINDS for unit in kind.units}
UNKNOWN = {"", "-", "–", "n", "n/a", "na", "?", "unknown"}
TRACE = {"tr", "trace", "traces"}
NUMERAL = re.compile(r"[+\-−]?\d+(?:[.,]\d+)*")
DECIMAL = re.compile(r"[+\-−]?\d+([.,])(?:\d{1,2}|\d{4,})")
THOUSANDS = re.compile(r"[+\-−]?\d{1,3}[.,]\d{3}")


class Column(NamedTuple):
    """A column that is read: its place, its head as typed, what it fills, its unit in ours, its most."""

    at: int
    head: str
    field: str
    unit_size: float
    most: float


class OwnRow(NamedTuple):
    """A food of the table: its line in the file, its name, its amounts in 100 g; None is unknown."""

    line: int
    name: str
    amounts: dict[str, float | None]


class OwnTable(NamedTuple):
    """All rows of a file, how its carbohydrate is meant, and a note on columns that were not read."""

    file: str
    rows: tuple[OwnRow, ...]
    carb_kind: CarbKind
    notes: tuple[Finding, ...]

    def food(self, at: int) -> Food:
        """Return a row as a food: in portions of 100 g, on no menu, nothing stated of its allergens."""
        row = self.rows[at]
        return Food(
            id=f"row-{row.line}",
            name=row.name[:40],
            source="table",
            source_id=f"{self.file}, line {row.line}",
            family=row.name,
            roles=(),
            meals=(),
            kitchens=(),
            portion=Portion(unit="portion", plural="portions", unit_g=100.0, counts=(1.0, 2.0)),
            per_100g=composition(row.amounts, self.carb_kind),
            state="as eaten",
            bought=Bought(
                name=row.name, aisle="own foods", g_per_eaten_g=1.0, pack_g=(100.0,), pack_word="pack"
            ),
            why="From a table of one's own, which says nothing of allergens.",
        )


def composition(amounts: dict[str, float | None], carb_kind: CarbKind) -> Composition:
    """Return what 100 g hold; total carbohydrate less its fibre, UK units as the range they leave."""
    known = {name: None if held is None else Range.exact(held) for name, held in amounts.items()}
    salt = known.pop("salt_g", None)
    if known.get("sodium_mg") is None and salt is not None:
        known["sodium_mg"] = Range.exact(salt.mid * 400)
    carb, fibre = amounts.get("carb_g"), amounts.get("fibre_g")
    if carb is not None and carb_kind == "total":
        known["carb_g"] = None if fibre is None else Range.exact(rounded(max(0.0, carb - fibre)))
    elif carb is not None and carb_kind == "monosaccharide":
        known["carb_g"] = Range.of(rounded(carb / MONOSACCHARIDE), carb)
    return Composition(mass_g=Range.exact(100.0), **known)


def read_own_table(path: Path) -> OwnTable:
    """Return the foods of a CSV file; BadInput names what is wrong by row and column."""
    return own_table_of(read_bytes(path, most=MAX_TRACK_BYTES), path.name)


def own_table_of(data: bytes, name: str) -> OwnTable:
    """Return the foods in the bytes of a CSV file, as `read_own_table`."""
    text = _text(data, name)
    first, _, _ = text.partition("\n")
    separator = max(";\t,", key=first.count)
    lines = csv.reader(text.splitlines(keepends=True), delimiter=separator)
    heads = next(lines, [])
    body = [(lines.line_num, cells) for cells in lines if any(cell.strip() for cell in cells)]
    if not body:
        raise BadInput(find("larder.no_rows", name))
    reader = _Reader(name, heads, body)
    rows = tuple(reader.rows())
    if reader.faults:
        rest = len(reader.faults) - MOST_FAULTS
        more = [find("larder.more_faults", name, count=rest)] if rest > 0 else []
        raise BadInput(*reader.faults[:MOST_FAULTS], *more)
    read = {column.at for column in reader.columns} | {reader.name_at}
    unread = [head.strip() for at, head in enumerate(heads) if at not in read and head.strip()]
    notes = (find("larder.unread", name, heads=", ".join(unread)),) if unread else ()
    return OwnTable(name, rows, reader.carb_kind, notes)


def _text(data: bytes, name: str) -> str:
    try:
        return text_in(data, name)
    except BadInput as error:
        if error.findings[0].code != "file.not_utf8":
            raise
    return data.decode("cp1252", errors="replace") if b"\x81" not in data else data.decode("latin-1")


def _columns(heads: Sequence[str], name: str) -> tuple[tuple[Column, ...], int, CarbKind]:
    """Return the columns that are read, where the names stand, and how carbohydrate is meant."""
    faults: list[Finding] = []
    found: dict[str, Column] = {}
    names = [at for at, head in enumerate(heads) if _head_words(head)[:1] in ([one] for one in NAMES)]
    carb_kind: CarbKind = "available"
    for at, head in enumerate(heads):
        column, fault, meant = _column(at, head)
        if fault is not None:
            faults.append(fault)
        if column is None:
            continue
        if column.field in found:
            first = found[column.field].head
            faults.append(
                find("larder.two_columns", name, first=first, second=column.head, what=column.field)
            )
        found[column.field] = column
        carb_kind = meant or carb_kind
    if not names:
        faults.append(find("larder.no_column", name, what="the name", allowed=", ".join(NAMES)))
    if "carb_g" not in found and not any(fault.code == "larder.which_carb" for fault in faults):
        allowed = ", ".join(f"{kind} carb g" for kind in CARB_KINDS)
        faults.append(find("larder.no_column", name, what="carbohydrate", allowed=allowed))
    if faults:
        raise BadInput(*faults)
    return tuple(found.values()), names[0], carb_kind


def _head_words(head: str) -> list[str]:
    plain = re.sub(r"(?:per|in|/)\s*100\s*g", " ", head.casefold())
    return re.findall(r"[a-z0-9]+", plain)


def _column(at: int, head: str) -> tuple[Column | None, Finding | None, CarbKind | None]:
    """Return the column of a head, or what is wrong with it; neither for a head that nothing here reads."""
    words = _head_words(head)
    units = [word for word in words if word in UNITS]
    kinds = [kind for kind in KINDS if set(kind.words) & set(words)]
    fits = [kind for kind in kinds if any(unit in kind.units for unit in units)]
    if not kinds:
        return None, None, None
    if not fits:
        kind = kinds[0]
        example = f"{kind.words[0]} {next(iter(kind.units))}"
        return None, find("larder.no_unit", f"column {at + 1}", head=head.strip(), example=example), None
    kind = fits[0]
    unit = next(unit for unit in units if unit in kind.units)
    column = Column(at, head.strip(), kind.field, kind.units[unit], kind.most)
    if kind.field != "carb_g":
        return column, None, None
    meant = next((one for one in CARB_KINDS if one in words), None)
    if meant is None:
        return None, find("larder.which_carb", f"column {at + 1}", head=head.strip()), None
    return column, None, meant


class _Numbers:
    """Reads the cells of a table, whose decimal sign it has found; equal texts are read once."""

    def __init__(self, texts: set[str]) -> None:
        signs = {match[1] for text in texts if (match := DECIMAL.fullmatch(text))}
        self.sign = signs.pop() if len(signs) == 1 else None
        self.read: dict[str, float | str | None] = {}

    def value(self, text: str) -> float | str | None:
        """Return the number of a cell, None for unknown, or the code of what is wrong."""
        if text not in self.read:
            self.read[text] = self._value(text)
        return self.read[text]

    def _value(self, text: str) -> float | str | None:
        plain = text.casefold()
        if plain in UNKNOWN:
            return None
        if plain in TRACE:
            return 0.0
        if not NUMERAL.fullmatch(text):
            return "larder.not_a_number"
        if self.sign is None and THOUSANDS.fullmatch(text):
            return "larder.two_decimals"
        sign = self.sign or ("," if text.rfind(",") > text.rfind(".") else ".")
        other = "." if sign == "," else ","
        bare = text.replace(other, "").replace(sign, ".").replace("−", "-")
        return float(bare) if bare.count(".") <= 1 else "larder.not_a_number"


class _Reader:
    """Reads the rows of a table; what is wrong with any is kept, to be told with all others."""

    def __init__(self, file: str, heads: Sequence[str], body: Sequence[tuple[int, list[str]]]) -> None:
        self.file, self.heads, self.body = file, heads, body
        self.columns, self.name_at, self.carb_kind = _columns(heads, file)
        self.faults: list[Finding] = []
        self.numbers = _Numbers(
            {cells[c.at].strip() for _, cells in body for c in self.columns if c.at < len(cells)}
        )

    def rows(self) -> Iterator[OwnRow]:
        """Yield every row that has as many cells as there are heads."""
        seen: dict[str, int] = {}
        for line, cells in self.body:
            if len(cells) != len(self.heads):
                count = len(cells)
                self.faults.append(find("larder.ragged", self._at(line), count=count, heads=len(self.heads)))
                continue
            name = " ".join(cells[self.name_at].split())
            self._name_faults(name, line, seen)
            before = len(self.faults)
            amounts = self._amounts(line, cells)
            if len(self.faults) == before:
                for said in _impossible(amounts, self.carb_kind):
                    self.faults.append(find("entry.impossible", self._at(line), problem=said))
            yield OwnRow(line, name, amounts)

    def _at(self, line: int, head: str = "") -> str:
        return f"{self.file}, line {line}" + (f", column '{head}'" if head else "")

    def _name_faults(self, name: str, line: int, seen: dict[str, int]) -> None:
        if not name:
            self.faults.append(find("larder.nameless", self._at(line)))
            return
        first = seen.setdefault(name.casefold(), line)
        if first != line:
            self.faults.append(find("larder.twice", self._at(line), name=name, row=first))

    def _amounts(self, line: int, cells: Sequence[str]) -> dict[str, float | None]:
        amounts: dict[str, float | None] = {}
        for column in self.columns:
            text = cells[column.at].strip()
            value = self.numbers.value(text)
            amounts[column.field] = None
            if value is None:
                continue
            place, allowed = (line, column.head), f"0 to {column.most / column.unit_size:g}"
            if isinstance(value, str):
                self.faults.append(find(value, self._at(*place), text=text, allowed=allowed))
            elif not 0 <= value * column.unit_size <= column.most:
                self.faults.append(find("entry.outside", self._at(*place), text=text, allowed=allowed))
            else:
                amounts[column.field] = value * column.unit_size
        return amounts


def _impossible(amounts: dict[str, float | None], carb_kind: CarbKind) -> Iterator[str]:
    """Yield what cannot be true of 100 g of a food."""
    carb, fibre = amounts.get("carb_g"), amounts.get("fibre_g")
    if carb is not None and carb_kind == "total":
        if fibre is not None and fibre > carb + SLACK_G:
            yield "fibre is more than the total carbohydrate"
        carb = None if fibre is None else max(0.0, carb - fibre)
    elif carb is not None and carb_kind == "monosaccharide":
        carb = carb / MONOSACCHARIDE
    parts = Parts(carb, fibre, amounts.get("fat_g"), amounts.get("protein_g"))
    whole_g = parts.solids_g() + (amounts.get("water_ml") or 0) + (amounts.get("alcohol_g") or 0)
    if whole_g > 100 + SLACK_G:
        yield f"the parts come to {whole_g:g} g of 100 g"
    sugars = amounts.get("sugars_g")
    if carb is not None and sugars is not None and sugars > carb * MONOSACCHARIDE + SLACK_G:
        yield "the sugars are more than the carbohydrate"
    salt, sodium = amounts.get("salt_g"), amounts.get("sodium_mg")
    if salt is not None and sodium is not None and abs(sodium - salt * 400) > max(25, 0.1 * sodium):
        yield "salt and sodium disagree: salt is sodium x 2.5"
    yield from energy_faults(
        parts,
        mass_g=100.0,
        energy_kcal=amounts.get("energy_kcal"),
        energy_kj=amounts.get("energy_kj"),
    )
