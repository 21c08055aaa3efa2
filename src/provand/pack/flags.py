"""Flags over the course: their words, and the lanes that keep every pole off every word."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from provand.case.case import Case
from provand.pack.hatch import hatched
from provand.pack.letters import cut_to, width_of
from provand.pack.shapes import Box, Disc, Group, Mark, Path, Px, Shape, Words, line
from provand.pack.voice import Piece, is_rehearsed, km, span, stop_marks, stop_pieces
from provand.plan.document import Stop
from provand.units import clock

LANE_PX: Px = 38
APART_PX: Px = 10
MOST_LANES = 4
MARK_PX: Px = 15
WORDS_FROM_POLE_PX: Px = 6
MOST_WORDS_PX: Px = 250
LOZENGE_PX: Px = 9
GRIP_PX: Px = 16


@dataclass(frozen=True, slots=True)
class Flag:
    """One stop, or several merged: where its pole stands, what it says, in which lane, 0 nearest the hill."""

    x: Px
    time: str
    pieces: tuple[Piece, ...]
    hill_y: Px = 0
    marks: tuple[str, ...] = ()
    state: str = ""
    pinned: bool = False
    rehearsed: bool = True
    caution: int = 0
    stops: tuple[int, ...] = ()
    lane: int = 0
    broken: bool = False

    @property
    def text(self) -> str:
        return " + ".join(piece.text for piece in self.pieces)

    @property
    def head_px(self) -> Px:
        """The width of the first line: marks, time, state, lozenge."""
        marks = len(self.marks) * (MARK_PX + 2)
        state = width_of(f" {self.state}", "condensed-bold", 12) + 4 if self.state else 0.0
        return marks + 3 + width_of(self.time, "sans-bold", 15) + state + (24 if self.caution else 0)

    @property
    def width_px(self) -> Px:
        return WORDS_FROM_POLE_PX + max(self.head_px, width_of(self.text, "sans", 13))

    def box(self, hill_top_y: Px) -> Box:
        """Return the space its words take above the hill."""
        return Box("flag", self.x, hill_top_y - (self.lane + 1) * LANE_PX, self.width_px, LANE_PX - 2)


def flag_of(
    stop: Stop, index: int, case: Case, *, x: Px, struck: bool, caution: int, passes: str = ""
) -> Flag:
    """Return the flag of one stop; with times struck, places lead. `passes` says which limit it passes."""
    rehearsed = is_rehearsed(stop)
    state = passes or ("pinned" if stop.pinned else "" if rehearsed else "not rehearsed")
    return Flag(
        x=x,
        time=f"km {km(stop.at_m)}" if struck else clock(stop.goal_s),
        pieces=stop_pieces(stop, case),
        marks=stop_marks(stop),
        state=state,
        pinned=stop.pinned,
        rehearsed=rehearsed,
        caution=caution,
        stops=(index,),
        broken=bool(passes),
    )


def fitted(flag: Flag, right_px: Px) -> Flag:
    """Return the flag with its words cut to the room there is: the whole words stand in the table."""
    room = min(MOST_WORDS_PX, right_px - flag.x - WORDS_FROM_POLE_PX)
    if flag.head_px > room:
        flag = replace(flag, state="")
    if flag.head_px > room:
        flag = replace(flag, marks=())
    pieces: list[Piece] = []
    left = room
    for piece in flag.pieces:
        joint = " + " if pieces else ""
        text = cut_to(piece.text, "sans", 13, left - width_of(joint, "sans", 13))
        if text:
            pieces.append(piece._replace(text=text))
            left -= width_of(joint + text, "sans", 13)
        if text != piece.text:
            break
    return replace(flag, pieces=tuple(pieces))


def in_lanes(flags: Sequence[Flag]) -> tuple[Flag, ...]:
    """Return the flags with lanes, from right to left: one above the highest pole the words would cross."""
    placed: list[Flag] = []
    for flag in sorted(flags, key=lambda flag: -flag.x):
        end = flag.x + flag.width_px + APART_PX
        crossed = [other.lane for other in placed if other.x < end]
        placed.append(replace(flag, lane=1 + max(crossed, default=-1)))
    return tuple(reversed(placed))


def merged(one: Flag, other: Flag, stops: Sequence[Stop], *, struck: bool) -> Flag:
    """Return one flag for two neighbours: how many items, from when to when."""
    held = [stops[index] for index in (*one.stops, *other.stops)]
    count = sum(len(stop.takes) for stop in held)
    places = f"km {km(held[0].at_m)}–{km(held[-1].at_m)}"
    time = places if struck else span(held[0].goal_s, held[-1].goal_s)
    return Flag(
        x=one.x,
        time=time,
        pieces=(Piece(f"{count} items", False),),
        pinned=one.pinned and other.pinned,
        rehearsed=one.rehearsed and other.rehearsed,
        stops=(*one.stops, *other.stops),
        broken=one.broken or other.broken,
    )


def stacked(flags: Sequence[Flag], stops: Sequence[Stop], *, right_px: Px, struck: bool) -> tuple[Flag, ...]:
    """Return the flags in at most four lanes, the nearest neighbours merged until they fit."""
    cut = [fitted(flag, right_px) for flag in flags]
    lanes = in_lanes(cut)
    while max((flag.lane for flag in lanes), default=0) >= MOST_LANES:
        gaps = [(b.x - a.x, index) for index, (a, b) in enumerate(pairwise(cut))]
        _, at = min(gaps)
        cut[at : at + 2] = [merged(cut[at], cut[at + 1], stops, struck=struck)]
        lanes = in_lanes(cut)
    return lanes


def lozenge(number: int, x: Px, y: Px) -> tuple[Shape, ...]:
    """Return a numbered lozenge with its middle at x, y."""
    side = LOZENGE_PX
    corners = ((x, y - side), (x + side, y), (x, y + side), (x - side, y))
    return (
        Path("lozenge", (corners,), closed=True),
        Words("lozenge-figure", x, y + 4, str(number), "middle"),
    )


def drawn(flag: Flag, hill_top_y: Px, label: str, *, held: bool = False) -> Group:
    """Return the shapes of a flag: pole, marks, time, state, words, and its sign on the hill.

    One that is held has a ground that a hand grasps.
    """
    top = hill_top_y - (flag.lane + 1) * LANE_PX
    at = flag.x + WORDS_FROM_POLE_PX
    shapes: list[Shape] = [*behind(flag.box(hill_top_y), held=held, broken=flag.broken)]
    shapes.append(line("pole", (flag.x, flag.hill_y), (flag.x, top)))
    for mark in flag.marks:
        shapes.append(Mark("mark", mark, at, top + 1, MARK_PX))
        at += MARK_PX + 2
    at += 3 if flag.marks else 0
    shapes.append(Words("time", at, top + 14, flag.time))
    at += width_of(flag.time, "sans-bold", 15) + 6
    if flag.state:
        shapes.append(Words("state", at, top + 13.5, flag.state))
        at += width_of(flag.state, "condensed-bold", 12) + 6
    if flag.caution:
        shapes.extend(lozenge(flag.caution, at + LOZENGE_PX, top + 9))
    x = flag.x + WORDS_FROM_POLE_PX
    for place, piece in enumerate(flag.pieces):
        text = f"+ {piece.text}" if place else piece.text
        shapes.append(Words("water" if piece.fluid else "item", x, top + 30, text))
        x += width_of(text + " ", "sans", 13)
    shapes += [*grip(flag.x, flag.hill_y, held=held), sign_of(flag, flag.x, flag.hill_y)]
    return Group(label, tuple(shapes), key="-".join(f"stop-{index}" for index in flag.stops))


def behind(box: Box, *, held: bool, broken: bool) -> tuple[Shape, ...]:
    """Return what lies behind a flag: the ground to grasp; hatches at its sides where it is broken."""
    right, bottom = box.x + box.width + 4, box.y + box.height
    ground = (Box("grasp", box.x - 8, box.y - 1, box.width + 20, box.height + 1),) if held else ()
    if not broken:
        return ground
    edge = tuple(
        ((left, box.y), (left + 7, box.y), (left + 7, bottom), (left, bottom)) for left in (box.x - 8, right)
    )
    hatches = tuple(Path("no", hatched("diagonal", corners)) for corners in edge)
    return (*ground, *hatches, Path("no-edge", edge, closed=True))


def grip(x: Px, y: Px, *, held: bool) -> tuple[Shape, ...]:
    """Return the ground round a sign that a finger takes hold of; nothing where it is not held."""
    return (Disc("grip", x, y, GRIP_PX),) if held else ()


def sign_of(flag: Flag, x: Px, y: Px) -> Shape:
    """Return the sign of a flag at x, y: square when pinned, ring when not rehearsed, else a disc."""
    if flag.pinned:
        return Box("sign", x - 5, y - 5, 10, 10)
    return Disc("sign" if flag.rehearsed else "ring", x, y, 4.5)
