"""The few shapes a drawing is made of: numbers and roles, no colour and no file format."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

Px = float
"""A length in pixels of the drawing; x runs right, y runs down."""

Point = tuple[Px, Px]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Path:
    """One or more lines of one role; closed lines are filled."""

    role: str
    lines: tuple[tuple[Point, ...], ...]
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle."""

    role: str
    x: Px
    y: Px
    width: Px
    height: Px

    def meets(self, other: Box) -> bool:
        """Return whether the two share more than an edge."""
        across = self.x < other.x + other.width and other.x < self.x + self.width
        return across and self.y < other.y + other.height and other.y < self.y + self.height


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle."""

    role: str
    x: Px
    y: Px
    radius: Px


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text; `y` is its base line."""

    role: str
    x: Px
    y: Px
    text: str
    anchor: Anchor = "start"


@dataclass(frozen=True, slots=True)
class Mark:
    """A small picture by name, its square's left top corner and side."""

    role: str
    name: str
    x: Px
    y: Px
    size: Px


@dataclass(frozen=True, slots=True)
class Slide:
    """A group that a hand moves along the course: its place, how far it may go, what it says of itself."""

    at_m: float
    most_m: float
    says: str
    upright: bool = False


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that belong together under one spoken label; on a page one may slide along the course."""

    label: str
    shapes: tuple[Shape, ...]
    key: str = ""
    slide: Slide | None = None


Shape = Path | Box | Disc | Words | Mark | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing with its size, its name and what it says in words."""

    width: Px
    height: Px
    title: str
    says: str
    shapes: tuple[Shape, ...]

    def all_shapes(self) -> Iterator[Shape]:
        """Yield every shape, those inside groups too."""
        waiting = list(reversed(self.shapes))
        while waiting:
            shape = waiting.pop()
            yield shape
            if isinstance(shape, Group):
                waiting.extend(reversed(shape.shapes))


def line(role: str, *points: Point) -> Path:
    """Return one open line."""
    return Path(role, (points,))


def area(role: str, *points: Point) -> Path:
    """Return one filled shape."""
    return Path(role, (points,), closed=True)


def names(y: Px, name: str, *notes: str) -> list[Shape]:
    """Return a name at the left edge with notes under it."""
    under = [Words("note", 0, y + 15 * (index + 1), note) for index, note in enumerate(notes)]
    return [Words("name", 0, y, name), *under]
