"""What a proof on paper came to, and how an end closes on its mate, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from setupsheets.lengths import Length, Notation
from setupsheets.machining.checking.features import Feature, FeatureLine
from setupsheets.machining.checking.joint import CLOSED, Contact, Joint
from setupsheets.machining.checking.proof import Discrepancy, Proof
from setupsheets.machining.cutting.planes import Plane, Show
from setupsheets.shop.recipes import Work
from setupsheets.wording.figures import tolerance
from setupsheets.wording.lists import capital

FEATURES: Mapping[Feature, str] = {
    Feature.FACE: "the face",
    Feature.BACK: "the back",
    Feature.OUTER_EDGE: "the outer edge",
    Feature.NEAR_EDGE: "the near edge",
    Feature.FAR_EDGE: "the far edge",
    Feature.NEAR_END: "the near end",
    Feature.FAR_END: "the far end",
    Feature.STICKING: "the sticking",
    Feature.TONGUE: "the tongue",
    Feature.REBATE_FLOOR: "the rebate's floor",
    Feature.REBATE_WALL: "the rebate's wall",
    Feature.GROOVE_FACE_WALL: "the groove's wall towards the face",
    Feature.GROOVE_BOTTOM: "the groove's bottom",
    Feature.GROOVE_BACK_WALL: "the groove's back wall",
    Feature.BEHIND_GROOVE: "the sight edge behind the groove",
    Feature.COPE: "the cope",
    Feature.TONGUE_SHOULDER: "the tongue's shoulder",
    Feature.LIP: "the lip on the rebate's floor",
    Feature.BACK_SHOULDER: "the back shoulder",
    Feature.FACE_CHEEK: "the tenon's cheek towards the face",
    Feature.BACK_CHEEK: "the tenon's cheek towards the back",
    Feature.TIP: "the tenon's tip",
    Feature.MORTISE_FACE_WALL: "the mortise's wall towards the face",
    Feature.MORTISE_BACK_WALL: "the mortise's wall towards the back",
    Feature.MORTISE_BOTTOM: "the mortise's bottom",
    Feature.NOTCH_NEAR_WALL: "the notch's near wall",
    Feature.NOTCH_FLOOR: "the notch's floor",
    Feature.NOTCH_FAR_WALL: "the notch's far wall",
}
_EDGES = ("", " of the first edge", " of the second edge")


def feature_words(line: FeatureLine) -> str:
    """`the back shoulder`, `the rebate's floor of the second edge`."""
    return f"{FEATURES[line.feature]}{_EDGES[line.edge]}"


def proof_title(proof: Proof) -> str:
    """What is proved: `section of stile`, `end of rail on ovolo-frame-inch`."""
    subject = proof.subject
    alone = (
        "bead" if subject.bead is not None else "panel" if subject.panel is not None else "section"
    )
    of = subject.part.name if subject.part is not None else alone
    if proof.work is Work.MORTISE and subject.mortise is not None:
        return f"mortise in {of} for {subject.mortise.holds}"
    if proof.work is Work.END and subject.end is not None:
        return f"end of {of} on {subject.end.mate.name}"
    if proof.work is Work.HALVING and subject.halving is not None:
        return f"halving of {of} with {subject.halving.crosses}"
    if proof.work is Work.BLANK:
        return f"{'length' if proof.plane is Plane.END else 'blank'} of {of}"
    return f"section of {of}"


def proved_words(count: int) -> str:
    """How many proofs a file comes to: a section, an end, a mortise, a halving or a blank each."""
    if not count:
        return ""
    shapes = "shape comes" if count == 1 else "shapes come"
    return f", {count} {shapes} out on paper as designed"


def unproved_title(proof: Proof) -> str:
    """Over the picture of what does not prove."""
    return f"{capital(proof_title(proof))}: does not prove"


def discrepancy_words(piece: Discrepancy, show: Show) -> str:
    """`1/16 in by 1/2 in at the back shoulder`."""
    x0, y0, x1, y1 = piece.shape.bounds
    along, up = (show(Length.from_float(size)) for size in (x1 - x0, y1 - y0))
    return f"{along} by {up} at {feature_words(piece.line)}"


def proof_line(proof: Proof, show: Show) -> str:
    """One line: what is proved and that it is, or everything that is wrong."""
    if proof.holds:
        return f"{proof_title(proof)}: proved"
    faults = [proof.fault] if proof.fault else []
    faults += [f"left over {discrepancy_words(piece, show)}" for piece in proof.left_over]
    faults += [f"missing {discrepancy_words(piece, show)}" for piece in proof.missing]
    section = proof.subject.end.mate if proof.subject.end else proof.subject.section
    faults += [
        f"the {cutter.title} is made for another moulding than {section.name} has"
        for cutter in proof.other_mouldings
        if section
    ]
    return f"{proof_title(proof)}: does not prove: {'; '.join(faults)}"


def worst_reading(proofs: Iterable[Proof], notation: Notation) -> str:
    """The measurement that comes nearest to its tolerance, or over it, with every dial at the
    nearest place that it can be set to; nothing where nothing is measured."""
    found = (reading for proof in proofs for reading in proof.rounded)
    furthest = max(found, key=lambda each: each.share, default=None)
    if furthest is None:
        return ""
    if not furthest.off:
        return "every figure lies on a mark of its dial"
    item = furthest.measurement
    over = "over" if furthest.off > Length.ZERO else "under"
    out = "" if furthest.within else ", which is too much: read finer than the mark there"
    return (
        f"with every dial at its nearest move the worst reading is "
        f"{notation.small(abs(furthest.off))} {over}, of "
        f"{tolerance(item.under, item.over, notation)} allowed: {item.title} "
        f"({furthest.set_up}){out}"
    )


def joint_words(joint: Joint, show: Show, least: float = CLOSED) -> str:
    """What a maker sees of an end on its mate, from `least` mm on; `closes everywhere` where that
    is nothing: what touches first, what stays open then, how the tenon goes in, how the faces lie.

    A place is told as open or as binding, never as both: of one that binds at one end and stands
    off at the other the greater counts, and what is held back is as much further open.
    """
    held = joint.held_open if joint.held_open > least else 0.0
    said: list[str] = []
    for contact in joint.contacts:
        where = FEATURES[contact.feature]
        if held and contact.too_long == joint.held_open:
            length = show(Length.from_float(held))
            said.insert(0, f"{where} touches first and holds the joint open by {length}")
        elif contact.feature not in _ALONE:
            open_ = _open(contact) + (held if contact.feature in _ALONG else 0.0)
            size = show(Length.from_float(abs(open_)))
            if abs(open_) > least:
                said.append(f"{'open' if open_ > 0 else 'binds'} by {size} at {where}")
    play = sum(_open(each) for each in joint.contacts if each.feature in _CHEEKS)
    if abs(play) > least:
        size = show(Length.from_float(abs(play)))
        how = f"has {size} of play" if play > 0 else f"is {size} too thick"
        said.append(f"the tenon {how} in its mortise")
    if abs(joint.out_of_flush) > least:
        size = show(Length.from_float(abs(joint.out_of_flush)))
        way = "behind" if joint.out_of_flush > 0 else "proud of"
        said.append(f"the face lies {size} {way} the mate's")
    return "; ".join(said) or "closes everywhere"


_CHEEKS = frozenset({Feature.FACE_CHEEK, Feature.BACK_CHEEK})
_ALONE = _CHEEKS | {Feature.TIP}
_ALONG = frozenset({Feature.COPE, Feature.TONGUE_SHOULDER, Feature.BACK_SHOULDER})
"""What closes as the part is pushed home."""


def _open(contact: Contact) -> float:
    """How far a place stands off, in mm; minus where it binds more than that."""
    return -contact.overlap if contact.overlap > max(CLOSED, contact.open) else contact.open


def closing_words(joint: Joint, notation: Notation) -> str:
    """How an end closes, and what the design leaves under its tenon."""
    said = joint_words(joint, notation.small)
    if joint.left_under_tenon <= CLOSED:
        return said
    left = notation.small(Length.from_float(joint.left_under_tenon))
    return f"{said}, with {left} left under the tenon"
