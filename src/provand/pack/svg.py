"""One writer of SVG with two skins: class names for pages, literal values for print.

The roles of shapes and what they look like stand here once; `style_sheet` gives them as CSS for a page
(colours as custom properties), `written` puts them into the file or leaves classes alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from provand.pack.marks import MARKS, UNITS
from provand.pack.shapes import Box, Disc, Drawing, Group, Mark, Path, Point, Shape, Words

Skin = Literal["classes", "print", "alone"]

LIGHT = {
    "paper": "#fcfbf7", "ink": "#1a1c1e", "ink-2": "#54585c", "line": "#76797c", "hair": "#d3cfc5",
    "land": "#ece7d9", "band": "#dcdad3", "act": "#97164e", "wash": "#f7e9ef",
}  # fmt: skip
DARK = {
    "paper": "#15181b", "ink": "#ece9e2", "ink-2": "#b0b3b5", "line": "#868b8f", "hair": "#3b4044",
    "land": "#2c302f", "band": "#393e42", "act": "#f7a3c4", "wash": "#35222b",
}  # fmt: skip
PRINT = LIGHT | {"paper": "#ffffff", "ink": "#000000", "ink-2": "#444444"}

_SANS = {"font-family": "Fira Sans"}
_CONDENSED = {"font-family": "Fira Sans", "font-stretch": "condensed"}
_FILLED = {"stroke": "none"}


def _stroke(token: str, width: str, **more: str) -> dict[str, str]:
    return {"fill": "none", "stroke": token, "stroke-width": width} | {
        k.replace("_", "-"): v for k, v in more.items()
    }


def _words(family: dict[str, str], size: str, weight: str, token: str = "ink", **more: str) -> dict[str, str]:
    return (
        family
        | {"font-size": size, "font-weight": weight, "fill": token}
        | {k.replace("_", "-"): v for k, v in more.items()}
    )


ROLES: dict[str, dict[str, str]] = {
    "paper": {"fill": "paper"} | _FILLED,
    "land": {"fill": "land"} | _FILLED,
    "outline": _stroke("ink", "1.5", stroke_linejoin="round"),
    "base": _stroke("ink", "1"),
    "axis": _stroke("line", "1"),
    "scale": {"fill": "paper", "stroke": "ink", "stroke-width": "1"},
    "scale-ink": {"fill": "ink"} | _FILLED,
    "dots": _stroke("line", "1", stroke_dasharray="1 3"),
    "station": {"fill": "ink"} | _FILLED,
    "station-line": _stroke("ink", "1"),
    "band": {"fill": "band"} | _FILLED,
    "edge": _stroke("line", "1"),
    "mid": _stroke("ink", "2", stroke_linejoin="round"),
    "texture": _stroke("line", "0.6"),
    "texture-dots": _stroke("ink-2", "1.2", stroke_linecap="round"),
    "ceiling": _stroke("ink", "2.5", stroke_linejoin="round"),
    "no": _stroke("line", "0.9"),
    "no-edge": _stroke("line", "1"),
    "ruler": _stroke("line", "1"),
    "ruler-strong": _stroke("ink", "2"),
    "equal": _stroke("line", "0.6"),
    "pole": _stroke("act", "1.25"),
    "sign": {"fill": "act"} | _FILLED,
    "ring": {"fill": "paper", "stroke": "act", "stroke-width": "1.8"},
    "grasp": {"fill": "none", "stroke": "none", "pointer-events": "all"},
    "grip": {"fill": "none", "stroke": "none", "pointer-events": "all"},
    "lozenge": {"fill": "paper", "stroke": "ink", "stroke-width": "1.25"},
    "lozenge-figure": _words(_SANS, "11", "600"),
    "time": _words(_SANS, "15", "600"),
    "item": _words(_SANS, "13", "400"),
    "water": _words(_SANS, "13", "400", font_style="italic"),
    "state": _words(_CONDENSED, "12", "600", "act"),
    "name": _words(_CONDENSED, "13", "600"),
    "note": _words(_CONDENSED, "12", "400", "ink-2"),
    "tick": _words(_CONDENSED, "13", "400", "ink-2"),
    "tick-strong": _words(_SANS, "13", "600"),
    "value": _words(_CONDENSED, "14", "600"),
    "was": _stroke("ink-2", "1.5", stroke_dasharray="5 3"),
    "was-ring": {"fill": "paper", "stroke": "ink-2", "stroke-width": "1.4"},
    "moved": _stroke("act", "1.5"),
    "moved-head": {"fill": "act"} | _FILLED,
    "struck": _stroke("ink", "1.5"),
    "row": _stroke("hair", "1"),
    "change": _words(_CONDENSED, "13", "600", "act"),
    "change-water": _words(_CONDENSED, "13", "600", "act", font_style="italic"),
    "name-water": _words(_CONDENSED, "13", "400", font_style="italic"),
    "wrist-land": {"fill": "band"} | _FILLED,
    "wrist-outline": _stroke("ink", "4", stroke_linejoin="round"),
    "wrist-dot": {"fill": "ink"} | _FILLED,
}
MARK_ROLES = {"mark": "act", "mark-ink": "ink"}
DOTS = "texture-dots"
EDGE_PX = 16
"""Paper left round a drawing in a file of its own."""
_COLOURED = ("fill", "stroke")


def number(value: float) -> str:
    """Return a length with at most one decimal."""
    text = f"{value:.1f}"
    return text.removesuffix(".0") if text != "-0.0" else "0"


def style_sheet(*, prefix: str = ".strip ") -> str:
    """Return the roles as CSS, colours as custom properties named by token."""
    lines = []
    for role, style in ROLES.items():
        rules = "".join(f"{name}:{_css(name, value)};" for name, value in style.items())
        lines.append(f"{prefix}.{role}{{{rules}}}")
    for role, token in MARK_ROLES.items():
        lines.append(f"{prefix}.{role} .f{{fill:var(--{token})}}")
        lines.append(f"{prefix}.{role} .l{{fill:none;stroke:var(--{token});stroke-linejoin:round}}")
    lines.append(f"{prefix}text{{font-variant-numeric:tabular-nums lining-nums}}")
    return "\n".join(lines) + "\n"


def _css(name: str, value: str) -> str:
    if name in _COLOURED and value in LIGHT:
        return f"var(--{value})"
    if name == "font-family":
        return f'"{value}",sans-serif'
    return f"{value}px" if name == "font-size" else value


def tokens(colours: dict[str, str]) -> str:
    """Return colours as custom properties."""
    return "".join(f"--{token}:{colour};" for token, colour in colours.items())


def _alone_style() -> str:
    return (
        f".strip{{{tokens(LIGHT)}}}\n"
        f"@media (prefers-color-scheme:dark){{.strip{{{tokens(DARK)}}}}}\n"
        f"@media print{{.strip{{{tokens(PRINT)}}}}}\n" + style_sheet()
    )


def written(drawing: Drawing, skin: Skin) -> str:
    """Return a drawing as SVG: classes for a page, literal print values, or with its own style sheet."""
    edge = EDGE_PX if skin == "alone" else 0
    wide, high = number(drawing.width + 2 * edge), number(drawing.height + 2 * edge)
    size = f'viewBox="{-edge} {-edge} {wide} {high}"'
    if skin != "classes":
        size += f' width="{wide}" height="{high}"'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size}'
    if skin == "print":
        return f"{head}>{_body(drawing.shapes, skin)}</svg>\n"
    named = f"<title>{escape(drawing.title)}</title><desc>{escape(drawing.says)}</desc>"
    if skin == "classes":
        return f'{head} class="strip" role="group">{named}{_body(drawing.shapes, skin)}</svg>\n'
    ground = f'<rect class="paper" x="{-edge}" y="{-edge}" width="{wide}" height="{high}"/>'
    style = f"<style>\n{_alone_style()}</style>"
    return f'{head} class="strip" role="img">{named}{style}{ground}{_body(drawing.shapes, skin)}</svg>\n'


def mark_svg(name: str, colour: str = "#000000") -> str:
    """Return one mark as a small SVG file of one colour."""
    strokes = "".join(_literal_strokes(name, colour))
    size = f'viewBox="0 0 {UNITS} {UNITS}" width="{UNITS}" height="{UNITS}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{strokes}</svg>'


def mark_for_page(name: str) -> str:
    """Return one mark as a small picture in the words of a page, its look left to classes."""
    return f'<svg class="mark" viewBox="0 0 {UNITS} {UNITS}" aria-hidden="true">{_strokes(name)}</svg>'


def _strokes(name: str) -> str:
    return "".join(
        f'<path class="f" fill-rule="evenodd" d="{stroke.path}"/>'
        if stroke.kind == "fill"
        else f'<path class="l" stroke-width="{stroke.units}" d="{stroke.path}"/>'
        for stroke in MARKS[name]
    )


def _literal_strokes(name: str, colour: str) -> Iterator[str]:
    for stroke in MARKS[name]:
        if stroke.kind == "fill":
            yield f'<path d="{stroke.path}" fill="{colour}" fill-rule="evenodd"/>'
        else:
            look = f'fill="none" stroke="{colour}" stroke-width="{stroke.units}" stroke-linejoin="round"'
            yield f'<path d="{stroke.path}" {look}/>'


def _body(shapes: tuple[Shape, ...], skin: Skin) -> str:
    return "".join(_element(shape, skin) for shape in shapes)


def _look(role: str, skin: Skin) -> str:
    """Return the attributes that give a shape its look."""
    if skin != "print":
        return f'class="{role}"'
    style = ROLES[role]
    return " ".join(
        f'{name}="{PRINT.get(value, value) if name in _COLOURED else value}"' for name, value in style.items()
    )


def _element(shape: Shape, skin: Skin) -> str:  # noqa: PLR0911 - one return for each kind of shape
    match shape:
        case Path(role, lines, closed):
            if not lines:
                return ""
            path = (
                _dots(lines)
                if role == DOTS and skin == "classes"
                else "".join(_path(points, closed) for points in lines)
            )
            return f'<path {_look(role, skin)} d="{path}"/>'
        case Box(role, x, y, width, height):
            place = f'x="{number(x)}" y="{number(y)}" width="{number(width)}" height="{number(height)}"'
            return f"<rect {_look(role, skin)} {place}/>"
        case Disc(role, x, y, radius):
            return f'<circle {_look(role, skin)} cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"/>'
        case Words(role, x, y, text, anchor):
            placed = "" if anchor == "start" else f' text-anchor="{anchor}"'
            return f'<text {_look(role, skin)} x="{number(x)}" y="{number(y)}"{placed}>{escape(text)}</text>'
        case Mark():
            return _mark(shape, skin)
        case Group():
            return _group(shape, skin)
    raise TypeError(f"no way to draw {shape!r}")


def _group(group: Group, skin: Skin) -> str:
    inner = _body(group.shapes, skin)
    if skin == "print":
        return inner
    named = f' data-key="{group.key}"' if group.key else ""
    slide = group.slide
    if slide is None or skin != "classes":
        return f'<g role="group" aria-label={quoteattr(group.label)}{named}>{inner}</g>'
    turned = ' aria-orientation="vertical"' if slide.upright else ""
    place = f'aria-valuemin="0" aria-valuemax="{slide.most_m:.0f}" aria-valuenow="{slide.at_m:.0f}"{turned}'
    says = f"aria-label={quoteattr(group.label)} aria-valuetext={quoteattr(slide.says)}"
    return f'<g role="slider" tabindex="0" {says} {place}{named}>{inner}</g>'


def _mark(mark: Mark, skin: Skin) -> str:
    move = f'transform="translate({number(mark.x)} {number(mark.y)}) scale({mark.size / UNITS:.4g})"'
    if skin == "print":
        return f"<g {move}>{''.join(_literal_strokes(mark.name, PRINT[MARK_ROLES[mark.role]]))}</g>"
    return f'<g class="{mark.role}" {move}>{_strokes(mark.name)}</g>'


def _dots(lines: tuple[tuple[Point, ...], ...]) -> str:
    """Return dots as the steps from one to the next: a page holds thousands of them."""
    at_x, at_y, steps = 0.0, 0.0, []
    for (x, y), *_ in lines:
        by_x, by_y = round(x - at_x, 1), round(y - at_y, 1)
        at_x, at_y = at_x + by_x, at_y + by_y
        steps.append(f"m{number(by_x)} {number(by_y)}h0")
    return "".join(steps)


def _path(points: tuple[Point, ...], closed: bool) -> str:
    first, *rest = points
    steps = " ".join(f"{number(x)} {number(y)}" for x, y in rest)
    return f"M{number(first[0])} {number(first[1])}L{steps}" + ("Z" if closed else "")
