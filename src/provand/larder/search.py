"""Search foods in a person's words: any order, plurals, other names, slips of spelling."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

from rapidfuzz import fuzz

from provand.larder.food import Food

LEAST_SCORE = 78.0
"""Ours: below it two words that begin alike are not one word misspelt."""
SHORTEST = 4
"""Letters from which a word may be misspelt; shorter ones must be right."""
PASSED_OVER = {"a", "and", "for", "in", "my", "of", "on", "or", "some", "the", "to", "with"}
PLURALS = ((r"ies$", "y"), (r"(?<=[sxo])es$", ""), (r"(?<=ch)es$|(?<=sh)es$", ""), (r"(?<=[^su])s$", ""))


def words_of(text: str) -> list[str]:
    """Return the words of a text: lower case, without accents, singular."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(symbol for symbol in plain if not unicodedata.combining(symbol))
    return [_singular(word) for word in re.findall(r"[a-z0-9]+", bare) if word not in PASSED_OVER]


def _singular(word: str) -> str:
    for ending, instead in PLURALS:
        if len(word) >= SHORTEST and re.search(ending, word):
            return re.sub(ending, instead, word)
    return word


def search(text: str, among: Iterable[Food]) -> list[Food]:
    """Return the foods in which every word of the text is found, by fit, then by liking."""
    asked = words_of(text)
    if not asked:
        return []
    scored = [(score, food) for food in among if (score := _score(asked, food)) is not None]
    return [food for _, food in sorted(scored, key=_best_first)]


def _best_first(scored: tuple[float, Food]) -> tuple[float, int, int, str]:
    score, food = scored
    return -score, food.dislike, len(food.name), food.name


def search_names(text: str, names: Sequence[str]) -> list[int]:
    """Return where in a list the names stand in which every word of the text is found, the best first."""
    asked = words_of(text)
    if not asked:
        return []
    scored = [
        (-score, len(name), at)
        for at, name in enumerate(names)
        if (score := _fit_of_all(asked, words_of(name), ())) is not None
    ]
    return [at for _, _, at in sorted(scored)]


def _score(asked: Sequence[str], food: Food) -> float | None:
    """Return how well a food fits, or None where a word is not in it; its own name counts more."""
    cooked = "boiled cooked" if food.state == "cooked" else ""
    other = words_of(f"{food.also} {food.family} {food.bought.name} {cooked}")
    return _fit_of_all(asked, words_of(food.name), other)


def _fit_of_all(asked: Sequence[str], own: Sequence[str], other: Sequence[str]) -> float | None:
    scores = [max(_fit(word, own), _fit(word, other) - 3) for word in asked]
    if min(scores) < LEAST_SCORE - 3:
        return None
    return sum(scores) / len(scores) - 2 * max(0, len(own) - len(asked))


def _fit(asked: str, words: Iterable[str]) -> float:
    return max((_alike(asked, word) for word in words), default=0.0)


def _alike(asked: str, word: str) -> float:
    if asked == word:
        return 100.0
    if len(asked) >= SHORTEST - 1 and word.startswith(asked):
        return 94.0
    if len(asked) < SHORTEST or asked[0] != word[0]:
        return 0.0
    score = fuzz.ratio(asked, word)
    return score if score >= LEAST_SCORE else 0.0


def near_names(text: str, among: Iterable[Food], most: int = 3) -> list[str]:
    """Return the names that are likest to a text in which no food was found."""
    asked = words_of(text)

    def unlike(food: Food) -> tuple[float, str]:
        words = words_of(food.name)
        return -sum(max(fuzz.ratio(one, word) for word in words) for one in asked), food.name

    return [food.name for food in sorted(among, key=unlike)[:most]]
