"""A drink is typed in a browser: the recipe follows, a fault stands beside its field, the bottle is kept."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page, expect

Opened = Callable[..., Page]


def test_the_recipe_follows_what_is_typed_and_the_bottle_is_kept(opened: Opened) -> None:
    page = opened()
    page.goto("/mix")
    recipe = page.locator("#recipe")
    expect(recipe).to_contain_text("Weigh 47 g of table sugar")
    page.get_by_role("textbox", name="Volume").fill("1,5 l")
    page.get_by_role("textbox", name="Volume").press("Tab")
    expect(recipe).to_contain_text("Measure 1,500 ml of water")
    page.get_by_label("the mark filled up to").check()
    expect(recipe).to_contain_text("fill up to 1,500 ml")
    page.get_by_role("textbox", name="Volume").fill("750")
    page.get_by_role("textbox", name="Volume").press("Tab")
    expect(page.locator("#volume-says")).to_contain_text("has more than one reading")
    expect(recipe).to_contain_text("No recipe yet")
    page.get_by_role("textbox", name="Volume").fill("750 ml")
    page.get_by_role("textbox", name="Volume").press("Tab")
    expect(recipe).to_contain_text("fill up to 750 ml")
    expect(page.locator("#volume-says")).to_be_empty()
    page.get_by_label("maltodextrin").check()
    expect(recipe).to_contain_text("of maltodextrin")
    recipe.get_by_label("Name").fill("House bottle")
    recipe.get_by_role("button", name="Keep on the shelf").click()
    expect(page.get_by_role("heading", name="Label: House bottle")).to_be_visible()
