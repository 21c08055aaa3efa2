"""Medicines as people name them, matched to classes by the generic names of substances."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

from provand.card import Mark
from provand.record import Record


class MedicineClass(Record):
    """A class of medicines: the flags that any of its substances raises.

    `usually_for` names a question that most people who take it answer with yes.
    """

    id: str
    title: str
    flags: tuple[str, ...]
    usually_for: str = ""
    substances: tuple[str, ...]
    mark: Mark


class Match(Record):
    """What a name was understood as; with a word left over, the name is not known."""

    classes: tuple[MedicineClass, ...]
    left_over: tuple[str, ...]
    near: str = ""

    @property
    def known(self) -> bool:
        return bool(self.classes) and not self.left_over


@cache
def medicine_classes() -> tuple[MedicineClass, ...]:
    """Return every class (data: `medicines.toml`)."""
    text = files("provand.safety").joinpath("medicines.toml").read_text("utf-8")
    return tuple(MedicineClass(**entry) for entry in tomllib.loads(text)["class"])


UNITS = {"mg", "g", "mcg", "ug", "ml", "iu", "units", "unit", "h", "hour"}
FORMS = {"tablet", "tablets", "tab", "tabs", "capsule", "capsules", "cap", "caps", "pen", "injection"}
RELEASE = {"xl", "xr", "sr", "mr", "er", "cr", "retard", "modified", "prolonged", "extended", "release"}
SALTS = {
    "hydrochloride", "hydrobromide", "besilate", "besylate", "maleate", "mesilate", "mesylate", "tartrate",
    "succinate", "fumarate", "hemifumarate", "oxalate", "arginine", "erbumine", "tosilate", "sulfate",
    "sulphate", "phosphate", "carbonate", "citrate", "acetate", "sodium", "potassium", "calcium", "dihydrate",
}  # fmt: skip
SAYS_NOTHING = UNITS | FORMS | RELEASE | SALTS
"""Words of a packet that do not change which substance it is, once a substance is found beside them."""


def words_of(name: str) -> list[str]:
    """Return the words of a name without case, accents, doses and punctuation (`Sertraline 50mg`: one)."""
    plain = unicodedata.normalize("NFKD", name.casefold())
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter)).replace("μ", "u")
    plain = re.sub(r"\d+(?:[.,]\d+)*\s*(?:%|(?:mg|g|mcg|ug|ml|iu|units?)\b)?", " ", plain)
    return re.findall(r"[^\W\d_]+", plain)


@cache
def _by_words() -> dict[tuple[str, ...], tuple[MedicineClass, ...]]:
    found: dict[tuple[str, ...], tuple[MedicineClass, ...]] = {}
    for group in medicine_classes():
        for substance in group.substances:
            key = tuple(substance.split())
            found[key] = (*found.get(key, ()), group)
    return found


def match(name: str) -> Match:
    """Return the classes of every substance in a name; a near miss is suggested, never taken."""
    words, known, classes, rest = words_of(name), _by_words(), dict[str, MedicineClass](), list[str]()
    longest = max(len(key) for key in known)
    at = 0
    while at < len(words):
        sizes = [size for size in range(longest, 0, -1) if tuple(words[at : at + size]) in known]
        if sizes:
            classes |= {group.id: group for group in known[tuple(words[at : at + sizes[0]])]}
        elif words[at] not in SAYS_NOTHING:
            rest.append(words[at])
        at += sizes[0] if sizes else 1
    names = [" ".join(key) for key in known]
    near = get_close_matches(" ".join(rest), names, n=1, cutoff=0.75)
    return Match(classes=tuple(classes.values()), left_over=tuple(rest), near=near[0] if near else "")
