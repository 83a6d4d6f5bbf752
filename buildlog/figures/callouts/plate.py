"""What a plate is made of: a picture, callouts, the words of each, and the lengths that hold between them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import hypot
from typing import Literal, NamedTuple

Side = Literal["left", "right"]
Kind = Literal["straight", "elbow", "number"]


class Spot(NamedTuple):
    """A place on a plate in CSS px: across from the picture's left edge, then down from the plate's top."""

    x: float
    y: float


class Size(NamedTuple):
    """Width and height in CSS px."""

    width: float
    height: float


class Box(NamedTuple):
    """A region of a picture as shares of its width and height, from its top left."""

    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class Label:
    """How much room a callout's words take in a margin, in CSS px."""

    height: float
    port: float = 0.0
    """How far below the label's top its leader sets out."""


@dataclass(frozen=True)
class Callout:
    """A place on a picture and the room its words take."""

    at: tuple[float, float]
    """The point, across then down, as shares of the picture; for a region its middle."""
    label: Label
    box: Box | None = None
    """The region, where one was marked."""


@dataclass(frozen=True)
class Sizes:
    """The lengths a plate keeps to, in CSS px; each default is the style sheet's at 16 px to the rem."""

    margin: float = 240.0
    """Width of a margin."""
    between: float = 35.2
    """From the margin's inner edge to the picture."""
    stub: float = 10.0
    """Leaders run level for so much from the margin's inner edge; at its end, the port, they turn to their points."""
    gap: float = 22.0
    """The least between two labels in a margin."""
    clearance: float = 10.0
    """The least between a leader and the end of another: a ring's radius, its outline, and a little."""
    badge: float = 14.0
    """The same about a number that stands in place of a leader."""
    apart: float = 4.0
    """The least between an elbowed leader and any other."""
    finger: float = 24.0
    """The least between the ends of two leaders, so that each can be touched (WCAG 2.2, 2.5.8 Target size)."""
    head: float = 0.0
    """What stands above the picture in its figure; labels may stand beside it where the picture alone is too short."""
    foot: float = 0.0
    """What stands below the picture in its figure: its caption."""
    most: int = 12
    """With more callouts than this the words make a list under the picture."""

    def __post_init__(self) -> None:
        """Refuse lengths that cannot hold together."""
        if not 0 <= self.clearance < self.finger or not 0 <= self.badge < self.finger:
            raise ValueError("clearance and badge must be under the finger's width, or no leader could reach its point")
        if not 0 <= self.stub <= self.between - max(self.clearance, self.badge):
            raise ValueError("the stub must end before the picture's edge by the clearance, or ports lie over points")
        if min(self.gap, self.apart, self.head, self.foot) < 0 or self.margin <= 0 or self.most < 1:
            raise ValueError("gap, apart, head and foot must not be negative, margin and most must be more than 0")


@dataclass(frozen=True)
class Placed:
    """One callout laid out."""

    side: Side
    rank: int
    """Its place down the margin, counting from 0."""
    top: float
    """The label's top, down from the plate's top."""
    label: Label
    marker: Spot
    """Where its ring is drawn; for a region, where the leader meets the outline."""
    aim: Spot
    """The place itself: the point, or the middle of the region's edge."""
    port: Spot
    kind: Kind
    leader: tuple[Spot, ...]
    """From the port to the marker, by a bend where it is elbowed; empty where a number stands in its place."""

    @property
    def is_tied(self) -> bool:
        """Whether the marker had to move so far off its place that a line should tie it back."""
        return (self.marker.x - self.aim.x) ** 2 + (self.marker.y - self.aim.y) ** 2 > 9

    @property
    def length(self) -> float:
        """Length of the leader."""
        return sum(hypot(b.x - a.x, b.y - a.y) for a, b in pairwise(self.leader))


@dataclass(frozen=True)
class Settled:
    """A plate laid out in its margins."""

    height: float
    """Of the plate: taller than its figure where a margin's labels are."""
    picture_top: float
    """The picture's top, down from the plate's."""
    callouts: tuple[Placed, ...]
    """In the order they were given."""

    @property
    def length(self) -> float:
        """Length of all leaders."""
        return sum(placed.length for placed in self.callouts)
