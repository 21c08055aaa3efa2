"""HTML of one file that loads nothing: elements put together, escaped by the library, under a policy.

What is written in (one style sheet, one script) is allowed by its hash alone; everything else is forbidden.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple
from xml.etree.ElementTree import Element, tostring

Node = Element | str
"""An element or a text."""

LIKE_A_WEIGHT = re.compile(r"\d(?:[kmu]?g|mcg|kj|k?cal|lbs?|oz|st)\b", re.IGNORECASE)
"""What no hash may hold: it reads as a weight to whoever looks for one in the bytes."""
DOCTYPE = "<!DOCTYPE html>\n"


def h(tag: str, *children: Node | None, cls: str = "", **attributes: str) -> Element:
    """Return an element; an attribute's name may end in `_` and has `-` for `_`; None is left out."""
    named = {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()}
    made = Element(tag, ({"class": cls} if cls else {}) | named)
    for child in children:
        if isinstance(child, Element):
            made.append(child)
        elif child is not None and len(made):
            made[-1].tail = (made[-1].tail or "") + child
        elif child is not None:
            made.text = (made.text or "") + child
    return made


class Written(NamedTuple):
    """A style sheet or a script as it is written in, and the source that a policy allows it by."""

    text: str
    source: str


def written_in(text: str) -> Written:
    """Return a text with its hash; blanks are added until the hash holds nothing that reads as a weight."""
    while True:
        digest = base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
        if not LIKE_A_WEIGHT.search(digest):
            return Written(text, f"'sha256-{digest}'")
        text += " "


def policy(style: Written, script: Written) -> str:
    """Return the content security policy of a page that may use these two and load nothing."""
    return (
        f"default-src 'none'; style-src {style.source}; script-src {script.source}; "
        "base-uri 'none'; form-action 'none'"
    )


def tokens(colours: Mapping[str, str]) -> str:
    """Return colours as custom properties of CSS."""
    return "".join(f"--{name}:{value};" for name, value in sorted(colours.items()))


def page(head: Iterator[Node], body: Element, *, language: str, **attributes: str) -> bytes:
    """Return a whole page (UTF-8)."""
    html = h("html", h("head", *head), body, lang=language, **attributes)
    return f"{DOCTYPE}{tostring(html, encoding='unicode', method='html')}\n".encode()
