"""An opening and how a leaf is fitted to it, in words."""

from __future__ import annotations

from setupsheets.joinery.frame.opening import Fitting
from setupsheets.lengths import Notation
from setupsheets.shop.jobs import Opening


def opening_words(fitting: Fitting, opening: Opening, notation: Notation) -> str:
    """`Opening 36 3/8 in wide and 41 3/4 in high, closed by a pair of leaves of ...`."""
    leaf, show, sides = fitting.leaf, notation.show, opening.out_of_square
    leaves = "a pair of leaves" if fitting.leaves > 1 else "one leaf"
    size = f"{show(opening.width)} wide and {show(opening.height)} high"
    if sides is not None:
        size = (
            f"out of square, seen from the leaf's face: {show(opening.width)} wide at the top and "
            f"{show(sides.bottom)} at the bottom, {show(opening.height)} high at the left and "
            f"{show(sides.right)} at the right, {show(sides.diagonal)} from its lower left corner "
            "to its upper right one"
        )
    made = f"{show(leaf.width)} by {show(leaf.height)} at the widest face"
    left_on = f", {show(opening.fitting)} of it each way left on for fitting"
    return f"Opening {size}, closed by {leaves} of {made}{left_on if opening.fitting else ''}."


def planing_words(fitting: Fitting) -> str:
    """What the rows of what is planed off count from."""
    bevel = " A bevel is planed after." if any(edge.bevel for edge in fitting.edges) else ""
    return (
        "The leaf is made square and planed to its opening, from a straight line between the two "
        "figures of an edge, so that its clearances come out even; the hinge edge stays as it is. "
        f"Try it in the opening before the last shavings.{bevel}"
    )
