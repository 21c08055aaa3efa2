"""A hand that has a keyboard and nothing else: it goes on by Tab, and wherever it is, that is seen."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page

SLOW_MS = 120_000
MOMENT_MS = 3_000
FOCUS = """() => {
    const one = document.activeElement;
    if (!one || one === document.body) return null;
    const box = one.getBoundingClientRect(), looks = getComputedStyle(one);
    const ground = one.querySelector(".grasp");
    const ringed = one.matches("[role=slider]")
        ? ground !== null && getComputedStyle(ground).strokeWidth === "2px"
        : looks.outlineStyle !== "none" && parseFloat(looks.outlineWidth) >= 2;
    const inside = box.width > 0 && box.height > 0 && box.bottom > 0 && box.right > 0
        && box.top < innerHeight && box.left < innerWidth;
    return {
        tag: one.tagName.toLowerCase(), name: one.name || "", id: one.id, words: (one.innerText || "").trim(),
        says: one.getAttribute("aria-valuetext") || one.getAttribute("aria-label") || "",
        pressed: one.getAttribute("aria-pressed") || "",
        seen: one.matches(":focus-visible") && ringed && inside, html: one.outerHTML.slice(0, 160),
    };
}"""
Stop = dict[str, Any]


class Keys:
    """Key presses on a page; each stop of Tab must show the focus, inside the window."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def at(self) -> Stop | None:
        """Return what has the focus."""
        found: Stop | None = self.page.evaluate(FOCUS)
        return found

    def tab(self) -> Stop | None:
        """Press Tab once, and return what has the focus then; a page that is being changed has a moment."""
        self.page.keyboard.press("Tab")
        stop = self.at()
        for _ in range(MOMENT_MS // 50):
            if stop is None or stop["seen"]:
                return stop
            self.page.wait_for_timeout(50)
            stop = self.at()
        raise AssertionError(f"the focus is not seen on {stop and stop['html']}")

    def to(self, tag: str, words: str = "", *, name: str = "", most: int = 250) -> Stop:
        """Go on by Tab to what has that tag, and those words or that name."""
        for _ in range(most):
            stop = self.tab()
            if stop and stop["tag"] == tag and stop["words"].startswith(words) and name in ("", stop["name"]):
                return stop
        raise AssertionError(f"no {tag} {words}{name} is reached by Tab")

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def writes(self, text: str) -> None:
        self.page.keyboard.type(text)

    def waits(self, script: str) -> None:
        """Wait until a script says yes; the page's own policy forbids to wait inside it."""
        for _ in range(SLOW_MS // 50):
            if self.page.evaluate(script):
                return
            self.page.wait_for_timeout(50)
        raise AssertionError(script)
