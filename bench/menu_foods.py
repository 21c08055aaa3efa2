"""Invented foods for the menu: round figures of their kind, of nobody's table; as many as a bench needs."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256

from provand.planner.menu.problem import PlateFood

B, S, L, D = "breakfast", "snack", "lunch", "dinner"
ALL = ("full", "kettle", "none", "petrol station", "hotel breakfast")
COLD = ("full", "kettle", "none", "petrol station")
HOB = ("full",)
HOT = ("full", "kettle")
BREADS = ("white bread", "roll", "bagel", "pancake", "toast bread")


def food(  # noqa: PLR0917 - a table's row
    name: str,
    roles: str,
    meals: tuple[str, ...],
    kitchens: tuple[str, ...],
    unit_g: float,
    counts: tuple[float, ...],
    per_100g: tuple[float, float, float, float],
    goes_with: tuple[str, ...] | None = None,
    *,
    family: str = "",
    sweet_drink: bool = False,
    dislike: int = 0,
) -> PlateFood:
    """Return an invented food; `per_100g` is carbohydrate, fibre, fat and protein."""
    carb_g, fibre_g, fat_g, protein_g = (unit_g * amount / 100 for amount in per_100g)
    return PlateFood(
        id=name.replace(" ", "-"),
        name=name,
        family=family or name,
        buy=name,
        roles=tuple(roles.split()),
        meals=meals,
        kitchens=kitchens,
        levels_count=counts,
        unit_g=unit_g,
        carb_g=carb_g,
        max_fibre_g=fibre_g,
        max_fat_g=fat_g,
        min_protein_g=protein_g,
        max_protein_g=protein_g,
        goes_with=goes_with,
        sweet_drink=sweet_drink,
        dislike=dislike,
    )


def invented_foods() -> tuple[PlateFood, ...]:
    """Return foods enough for any meal in any kitchen."""
    glass, slices = (1, 2), (2, 3, 4)
    return (
        food("white bread", "bread", (B, S, L, D), ALL, 30, slices, (48, 2.5, 3, 8)),
        food("roll", "bread", (B, S, L, D), ALL, 55, (1, 2, 3), (50, 2.3, 3, 9)),
        food("bagel", "bread", (B, S, L), COLD, 90, (1, 2), (52, 2.2, 1.6, 10)),
        food("pancake", "bread", (B,), ("full", "hotel breakfast"), 40, (2, 3, 4), (28, 1, 5, 6)),
        food("jam", "spread", (B, S), ALL, 20, (1, 2, 3), (65, 1, 0, 0.4), BREADS),
        food("honey", "spread", (B, S), ALL, 21, (1, 2, 3), (82, 0, 0, 0.3), (*BREADS, "porridge")),
        food("syrup", "spread", (B,), ALL, 20, (1, 2, 3), (68, 0, 0, 0), ("pancake",)),
        food("puffed rice", "cereal", (B, S), ALL, 15, (2, 3, 4, 5), (84, 1, 1, 7)),
        food("corn flakes", "cereal", (B, S), ALL, 15, (2, 3, 4, 5), (82, 2.5, 0.5, 7)),
        food("porridge", "cereal", (B,), HOT, 234, (1, 1.5, 2), (12, 1.7, 1.5, 2.5)),
        food(
            "skimmed milk",
            "milk",
            (B, S),
            ALL,
            200,
            (0.5, 1, 1.5),
            (5, 0, 0.2, 3.4),
            ("puffed rice", "corn flakes", "porridge"),
            family="milk",
        ),
        food(
            "whole milk",
            "milk",
            (B, S),
            ALL,
            200,
            (0.5, 1, 1.5),
            (4.8, 0, 3.3, 3.3),
            ("puffed rice", "corn flakes", "porridge"),
            family="milk",
        ),
        food(
            "soya drink",
            "milk",
            (B, S),
            ALL,
            200,
            (0.5, 1, 1.5),
            (5, 0.5, 1.6, 3.2),
            ("puffed rice", "corn flakes", "porridge"),
        ),
        food("banana", "fruit", (B, S, L), ALL, 118, (1, 2), (20, 2.6, 0.3, 1.1)),
        food(
            "melon",
            "fruit",
            (B, S, L),
            ("full", "hotel breakfast", "kettle"),
            150,
            (1, 2),
            (8, 0.5, 0.2, 0.6),
        ),
        food("tinned peaches", "fruit", (B, S, L), COLD, 125, (1, 2), (14, 1, 0.1, 0.5)),
        food("apple sauce", "fruit", (B, S, L), COLD, 120, (1, 2), (17, 1.2, 0.1, 0.2)),
        food("apple juice", "drink", (B, S, L, D), ALL, 200, glass, (11, 0.1, 0.1, 0.1), sweet_drink=True),
        food("orange juice", "drink", (B, S, L), ALL, 200, glass, (10, 0.2, 0.2, 0.7), sweet_drink=True),
        food("lemonade", "drink", (S, L, D), ALL, 200, glass, (10, 0, 0, 0), sweet_drink=True),
        food("fruit tea", "drink", (B, S, L, D), HOT, 200, glass, (0.2, 0, 0, 0)),
        food("white rice", "starch", (L, D), HOB, 158, (1, 1.5, 2, 2.5), (28, 0.4, 0.3, 2.7)),
        food("pasta", "starch", (L, D), HOB, 140, (1, 1.5, 2, 2.5), (30, 1.8, 0.9, 5.8)),
        food("potatoes", "starch", (L, D), HOB, 150, (1, 2, 3), (18, 1.4, 0.1, 1.9)),
        food("couscous", "starch", (L, D), HOT, 157, (1, 1.5, 2), (22, 1.4, 0.2, 3.8)),
        food("rice noodles", "starch", (L, D), HOT, 176, (1, 1.5, 2), (23, 1, 0.2, 1.8)),
        food("tomato sauce", "sauce", (L, D), HOT, 125, (1, 2), (8, 1.5, 1.5, 1.4), ("pasta", "couscous")),
        food("soy sauce", "sauce", (L, D), HOT, 16, (1, 2), (5, 0, 0, 8), ("white rice", "rice noodles")),
        food(
            "sweet chilli sauce",
            "sauce",
            (L, D),
            HOT,
            20,
            (1, 2, 3),
            (45, 0.5, 0.5, 0.5),
            ("white rice", "rice noodles"),
        ),
        food("gravy", "sauce", (L, D), HOT, 60, (1, 2), (5, 0.2, 2, 1.5), ("potatoes",)),
        food(
            "chicken breast",
            "protein",
            (L, D),
            HOB,
            50,
            (1, 2, 3),
            (0, 0, 3.6, 31),
            ("white rice", "pasta", "potatoes", "couscous", "rice noodles"),
        ),
        food("ham", "protein", (B, L, D), ALL, 28, (1, 2, 3), (1.5, 0, 3, 18), BREADS[:3]),
        food(
            "tinned tuna",
            "protein",
            (L, D),
            COLD,
            60,
            (1, 2),
            (0, 0, 1, 25),
            ("white bread", "roll", "bagel", "pasta", "white rice", "couscous", "potatoes"),
        ),
        food(
            "tofu",
            "protein",
            (L, D),
            HOT,
            80,
            (1, 2),
            (2, 0.5, 6, 12),
            ("white rice", "rice noodles", "couscous"),
        ),
        food(
            "egg",
            "protein",
            (B, L, D),
            ("full", "hotel breakfast"),
            50,
            (1, 2),
            (0.8, 0, 10, 12.6),
            BREADS[:4],
        ),
        food("hummus", "protein", (L, D), COLD, 30, (1, 2), (14, 5, 10, 8), BREADS[:3]),
        food("cucumber", "vegetable", (L, D), COLD, 50, (1, 2), (2.2, 0.6, 0.1, 0.7)),
        food("cooked carrots", "vegetable", (L, D), HOB, 78, (1,), (5, 3, 0.2, 0.8)),
        food("jelly sweets", "sweet", (S,), COLD, 25, (1, 2, 3), (90, 0, 0, 1)),
        food("sponge cake", "sweet", (S, L, D), COLD, 40, (1, 2), (61, 0.5, 3, 5)),
        food("ginger biscuits", "sweet", (S,), ALL, 7, (3, 5, 7), (77, 2, 10, 5.6)),
        food("rice pudding", "sweet", (L, D), COLD, 113, (1, 2), (18, 0.3, 2.2, 3.2)),
        food("sorbet", "sweet", (L, D), HOB, 75, (1, 2), (30, 0.3, 0.5, 0.5)),
        food("fruit gelatine", "sweet", (L, D), ("full", "hotel breakfast"), 135, (1, 2), (14, 0, 0, 1.2)),
        food("pretzels", "savoury", (S,), COLD, 30, (1, 2), (77, 3, 3, 10)),
        food("rice cakes", "savoury", (S,), COLD, 9, (3, 5), (80, 4, 3, 8)),
    )


def many_foods(count: int) -> tuple[PlateFood, ...]:
    """Return so many invented foods: the same ones again in other makes, each a family of its own.

    What a make holds and how it is liked is drawn from a digest of its name: 0 (liked) to 4.
    """
    plain, makes = invented_foods(), range(-(-count // len(invented_foods())))
    return tuple(_make(one, make, makes) for make in makes for one in plain)[:count]


def _make(plain: PlateFood, make: int, makes: range) -> PlateFood:
    name = f"{plain.id}-{make}"
    drawn = sha256(name.encode()).digest()
    more = 0.8 + 0.4 * drawn[0] / 255
    others = plain.goes_with and tuple(f"{family}-{other}" for family in plain.goes_with for other in makes)
    return replace(
        plain,
        id=name,
        name=name,
        family=f"{plain.family}-{make}",
        buy=name,
        carb_g=plain.carb_g * more,
        max_fibre_g=plain.max_fibre_g * (2 - more),
        goes_with=others,
        dislike=drawn[1] % 5,
    )
