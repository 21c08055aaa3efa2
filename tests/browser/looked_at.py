"""What must hold of any page: clean to axe, narrow and enlarged, still while it loads, nothing written in."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, Response
from windows import DESK

from provand.workspace.middleware import POLICY

NARROW, ENLARGED = {"width": 320, "height": 640}, {"width": 640, "height": 450}
"""The narrowest window; a window of 1280 at 200 %."""
MOST_BYTES = 150_000
"""Of a page as it is sent, without fonts."""
MOST_SHIFT = 0.01
"""Of the share of the window that moves while a page loads: less is no more than a rounded pixel."""
SHIFTED = """() => new Promise(told => {
    let sum = 0;
    const watch = new PerformanceObserver(seen => seen.getEntries().forEach(one => { sum += one.value; }));
    watch.observe({type: "layout-shift", buffered: true});
    setTimeout(() => told(sum), 100);
})"""
MOVING = """() => [...document.querySelectorAll("*")].filter(one => {
    const looks = getComputedStyle(one);
    const takes = parseFloat(looks.transitionDuration) + parseFloat(looks.animationDuration);
    return takes > 0 || looks.scrollBehavior === "smooth";
}).map(one => one.outerHTML.slice(0, 80))"""
WRITTEN_IN = """() => [...document.querySelectorAll("*")].filter(one =>
    one.hasAttribute("style") || one.matches("style") || (one.matches("script") && one.textContent.trim()) ||
    [...one.attributes].some(given => /^on[a-z]/.test(given.name))
).map(one => one.outerHTML.slice(0, 80))"""
TOO_WIDE = """() => {
    const most = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= most) return [];
    const wide = [...document.querySelectorAll("body *")];
    return wide.filter(one => one.getBoundingClientRect().right > most + 0.5)
        .map(one => one.outerHTML.slice(0, 120)).slice(0, 4).concat(["wider than the window"]);
}"""
UNFOLDED = """() => [...document.querySelectorAll("main details")].forEach(one => { one.open = true; })"""


def assert_page(page: Page, address: str, *, status: int = 200) -> None:
    """Load a page wide and narrow, light and dark, folded and unfolded; tell every fault at once."""
    page.emulate_media(color_scheme="light", reduced_motion="no-preference")
    page.set_viewport_size(DESK)
    faults = _sent(page, address, status)
    faults += _shifts(page, "wide")
    faults += [f"written into the page: {one}" for one in page.evaluate(WRITTEN_IN)]
    faults += _axe(page, "light, wide")
    page.set_viewport_size(NARROW)
    page.emulate_media(color_scheme="dark", reduced_motion="reduce")
    page.goto(address)
    faults += _shifts(page, "narrow")
    faults += [f"moves: {one}" for one in page.evaluate(MOVING)]
    _unfold(page)
    faults += _axe(page, "dark, narrow, unfolded")
    for window in (NARROW, ENLARGED, DESK):
        page.set_viewport_size(window)
        faults += [f"at {window['width']} px: {one}" for one in page.evaluate(TOO_WIDE)]
    assert not faults, "\n".join(faults)


def _sent(page: Page, address: str, status: int) -> list[str]:
    """Load a page of which the browser knows nothing, and return what is wrong with what is sent."""
    answers, faults = list[Response](), list[str]()
    quiet = page.context.new_cdp_session(page)
    quiet.send("Network.setCacheDisabled", {"cacheDisabled": True})

    def heard(answer: Response) -> None:
        answers.append(answer)

    page.on("response", heard)
    html = page.goto(address)
    page.remove_listener("response", heard)
    quiet.detach()
    assert html is not None
    assert html.status == status
    weight = sum(one.request.sizes()["responseBodySize"] for one in answers if "/fonts/" not in one.url)
    if weight >= MOST_BYTES:
        faults.append(f"{weight} bytes are sent")
    if html.headers.get("content-security-policy") != POLICY:
        faults.append("no policy, or another")
    return faults


def _shifts(page: Page, window: str) -> list[str]:
    shifted = page.evaluate(SHIFTED)
    return [f"{window}: it moves while it loads: {shifted}"] if shifted > MOST_SHIFT else []


def _unfold(page: Page) -> None:
    """Open all that is folded, and wait for what comes of it."""
    page.evaluate(UNFOLDED)
    if page.locator("main details[hx-get]").count():
        page.wait_for_load_state("networkidle")


def _axe(page: Page, look: str) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{look}: {one['id']}: {[node['html'][:160] for node in one['nodes']][:3]}" for one in found]
