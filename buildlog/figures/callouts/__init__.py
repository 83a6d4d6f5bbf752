"""
Callouts beside a picture: which margin each label stands in, how high, and the leader to its point.

Give `lay_out` the picture as displayed and the room each label takes; it answers with a `MarginLayout`, or with a
`ListLayout` where there are too many callouts. No two leaders cross, no two labels overlap, no leader passes over the
end of another, and labels stand beside their picture where there is room.
"""

from buildlog.figures.callouts.checking import faults
from buildlog.figures.callouts.planning import ListLayout, MarginLayout, lay_out
from buildlog.figures.callouts.plate import Box, Callout, Label, Placed, Settled, Size, Sizes, Spot
from buildlog.figures.callouts.settling import settle

__all__ = [
    "Box",
    "Callout",
    "Label",
    "ListLayout",
    "MarginLayout",
    "Placed",
    "Settled",
    "Size",
    "Sizes",
    "Spot",
    "faults",
    "lay_out",
    "settle",
]
