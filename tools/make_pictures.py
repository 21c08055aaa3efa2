"""Write the pictures of the docs from the demo practice: the course strip, and the page of its plan.

    python tools/make_pictures.py

A browser is asked for them (Debian's Chromium), at pages that are served from a ledger made for this alone.
"""

from __future__ import annotations

import io
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
AS_OF, RACE = "2026-11-25", "Orchard Half (invented)"
WINDOW = {"width": 1264, "height": 900}
PASSPHRASE = "four invented words here"
COLOURS = 64
"""As many as a drawing needs; a picture of more is four times as large."""
FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update")
SLOW_MS = 120_000


@contextmanager
def served() -> Iterator[str]:
    """Serve the workspace over an empty ledger, and give its address."""
    with tempfile.TemporaryDirectory() as folder:
        known = os.environ | {"PROVAND_LEDGER": f"{folder}/ledger.sqlite3", "PROVAND_TODAY": AS_OF}
        command = [sys.executable, "-m", "provand.cli.main", "open", "--no-browser"]
        with subprocess.Popen(command, env=known, stdout=subprocess.PIPE, text=True) as server:
            assert server.stdout is not None
            yield server.stdout.readline().split("open at ")[1].split()[0]
            server.terminate()  # it ends as by Ctrl+C


def begun(page: Page) -> None:
    """Go through the first start, and load the demo practice."""
    page.goto("/")
    page.get_by_label("Name of the practice").fill("Invented practice")
    page.get_by_label("Your name").fill("Alba Inventada")
    page.get_by_label("A passphrase").fill(PASSPHRASE)
    page.get_by_label("The same again").fill(PASSPHRASE)
    page.get_by_role("button", name="Go on").click()
    page.get_by_role("button", name="Load the demo practice").click()
    page.get_by_text("invented athletes are here").wait_for(timeout=SLOW_MS)


def kept(name: str, png: bytes) -> None:
    """Write a picture in few colours."""
    with Image.open(io.BytesIO(png)) as picture:
        picture.convert("RGB").quantize(COLOURS).save(DOCS / name, optimize=True)
    print(DOCS / name, (DOCS / name).stat().st_size)


def main() -> None:
    """Write every picture."""
    chromium = shutil.which("chromium") or sys.exit("Debian's package chromium is needed.")
    with served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        page = browser.new_page(viewport=WINDOW, base_url=address)
        begun(page)
        page.goto("/athletes")
        page.get_by_role("link", name=RACE).first.click()
        page.get_by_role("link", name="Plan").first.click()
        page.locator(".course").wait_for(timeout=SLOW_MS)
        kept("plan-page.png", page.screenshot())
        kept("course-strip.png", page.locator(".course").first.screenshot())
        browser.close()


if __name__ == "__main__":
    main()
