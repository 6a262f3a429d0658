"""Where to measure on test pieces: a letter to each thing, and drawings that show them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from setupsheets.machining.cutting.planes import Plane
from setupsheets.machining.cutting.shapes import blank
from setupsheets.machining.findings import OperationFindings
from setupsheets.machining.measure_places import MeasurePlace, place_of
from setupsheets.machining.tasks import Task
from setupsheets.sheets.drawings.drawing import Drawing
from setupsheets.sheets.drawings.measure_drawing import measure_drawing

Letters = Mapping[str, str]
_PLAIN = (Plane.PLAN, Plane.SECTION)
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"  # without I and O, which are taken for figures


def letters_of(group: Sequence[OperationFindings]) -> Letters:
    """A letter for each thing that a block's operations measure and that has a place on the piece,
    by its title, as far as letters go."""
    titles = [title for found in group for title in _places(found.task)]
    return dict(zip(dict.fromkeys(titles), _LETTERS, strict=False))


def where_to_measure(group: Sequence[OperationFindings], letters: Letters) -> Iterator[Drawing]:
    """A drawing for each set of things that rows of the block measure, each set once."""
    drawn: set[str] = set()
    for task in (found.task for found in group):
        places = {letters[title]: at for title, at in _places(task).items() if title in letters}
        if not set(places) <= drawn:
            drawn |= set(places)
            yield from _drawn(task, places, {letter: title for title, letter in letters.items()})


def _drawn(
    task: Task, places: Mapping[str, MeasurePlace], titles: Mapping[str, str]
) -> Iterator[Drawing]:
    """The piece as the operation leaves it; one that is cut in no picture as the plain piece that
    it is, from its face and from its end."""
    stage = task.stage
    if stage is not None:
        pictures = [(stage.cut.plane, stage.after)]
    else:
        pictures = [(plane, blank(task.set_up.subject, plane)) for plane in _PLAIN]
    for plane, area in pictures:
        here = {letter: place for letter, place in places.items() if place.axis in plane.axes}
        if stage is None and plane is Plane.SECTION:
            here = {letter: place for letter, place in here.items() if place.axis == "y"}
        if here:
            words = "; ".join(f"{letter}: {titles[letter]}" for letter in here)
            name = f"measure-{task.number:02}-{plane}"
            title = f"Operation {task.number}: where to measure"
            piece, plain = (plane.axes, area), stage is None
            yield measure_drawing(name, title, piece, here, f"{title}. {words}.", plain)


def _places(task: Task) -> dict[str, MeasurePlace]:
    """By title, where those of an operation's measures lie whose design formula says it; what is
    measured on the whole leaf comes out of its layout and out of no formula."""
    formulas = {item.name: item.should.names for item in task.set_up.recipe.measures}
    found = {}
    for item in task.set_up.measured_after(task.operation):
        place = place_of(formulas.get(item.name, frozenset()), task.set_up.subject)
        if place is not None:
            found[item.title] = place
    return found
