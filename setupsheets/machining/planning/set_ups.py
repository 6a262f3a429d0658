"""The set-ups that one recipe needs for a job: one for all parts that come out of equal figures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from setupsheets.joinery.members.parts import Joinery
from setupsheets.lengths import Length
from setupsheets.machining.operations import Operation, SetUp, WorkedAt
from setupsheets.machining.planning.batches import Batch
from setupsheets.machining.planning.choices import Equipment
from setupsheets.machining.planning.evaluation import evaluate
from setupsheets.machining.setting.stopped_cuts import stops_of
from setupsheets.shop.jobs import Job
from setupsheets.shop.recipes import Makes, Recipe, Surface, Work


def set_ups_of(
    recipe: Recipe, batches: Sequence[Batch], job: Job, joinery: Joinery, equipment: Equipment
) -> tuple[SetUp, ...]:
    """The recipe's set-ups, one for each batch; where there are several in the job, labels tell
    them apart.

    Raises DataFaults for a choice that is missing, and for a formula that cannot be worked out.
    """
    made = [
        evaluate(recipe, each.subject, job, equipment, each.counts, each.subjects)
        for each in batches
    ]
    if recipe.makes is Makes.BLANK:
        everyone = _together(batches)
        whole = evaluate(
            recipe, everyone.subject, job, equipment, everyone.counts, everyone.subjects
        )
        return tuple(_by_operation(recipe, batches, made, everyone, whole))
    placed = zip(made, batches, strict=True)
    made = [_with_places(_with_stops(each, joinery), batch.places) for each, batch in placed]
    if len(made) == 1 and not batches[0].late:
        return tuple(made)
    return tuple(_labelled(item, batch.label) for item, batch in zip(made, batches, strict=True))


def _with_stops(made: SetUp, joinery: Joinery) -> SetUp:
    """The set-up with the stops of all its parts in every operation that goes along an edge."""
    stops = tuple(
        stop
        for part in joinery.parts
        if part.name in made.counts
        for stop in stops_of(part, made.recipe.makes)
    )
    operations = tuple(
        replace(operation, stops=stops if operation.asks.work is Work.EDGE else ())
        for operation in made.operations
    )
    return replace(made, operations=operations)


def _with_places(made: SetUp, places: Sequence[WorkedAt]) -> SetUp:
    """The set-up with where on each part each of its operations is done."""
    operations = tuple(
        replace(each, places=tuple(_places(each, places))) for each in made.operations
    )
    return replace(made, operations=operations)


def _places(operation: Operation, places: Iterable[WorkedAt]) -> Iterator[WorkedAt]:
    """A recipe that does not say both ends or both edges of a machine means the first of them;
    hand work goes to the parts that ask for it."""
    asks, parts = operation.asks, {place.part for place in operation.places}
    for place in places:
        if parts and place.part not in parts:
            continue
        if asks.both or asks.work not in (Work.END, Work.EDGE):
            yield place
        else:
            yield replace(place, ends=place.ends[:1], edges=place.edges[:1])


def _together(batches: Sequence[Batch]) -> Batch:
    """All parts as one batch; the first stands for them."""
    return replace(
        batches[0],
        counts={name: count for each in batches for name, count in each.counts.items()},
        subjects={name: subject for each in batches for name, subject in each.subjects.items()},
        places=tuple(place for each in batches for place in each.places),
    )


def _by_operation(
    recipe: Recipe, batches: Sequence[Batch], made: list[SetUp], everyone: Batch, all_made: SetUp
) -> Iterator[SetUp]:
    """Blanks go through each operation by themselves: all of one figure share its set-up, and hand
    work that nothing is measured after is one for all parts, each with its own sizes."""
    read = {measure.after for measure in recipe.measures}
    for asks in recipe.operations:
        by_hand = asks.work is Work.HAND and asks.name not in read
        each_made = [(everyone, all_made)] if by_hand else zip(batches, made, strict=True)
        alike: dict[tuple[Length, ...], list[tuple[Batch, SetUp]]] = {}
        for batch, whole in each_made:
            operations = tuple(each for each in whole.operations if each.asks is asks)
            if operations:
                measured = tuple(each for each in whole.measurements if each.after == asks.name)
                alone = replace(whole, operations=operations, measurements=measured)
                key = (
                    *(setting.aim for setting in alone.settings),
                    *(item.target for item in measured if not alone.settings),
                )
                alike.setdefault(key, []).append((batch, alone))
        for group in alike.values():
            first, alone = group[0]
            if asks.against is Surface.END and all(_is_long(batch) for batch, _ in group):
                alone = replace(alone, measurements=())  # what is cut apart later need be no length
            counts = {name: count for batch, _ in group for name, count in batch.counts.items()}
            operations = tuple(_for_all(group))
            named = replace(
                alone, name=f"{recipe.name}/{asks.name}", counts=counts, operations=operations
            )
            places = [place for batch, _ in group for place in batch.places]
            yield _labelled(_with_places(named, places), first.label)


def _for_all(group: Sequence[tuple[Batch, SetUp]]) -> Iterator[Operation]:
    """The first set-up's operations, done on the parts of all of them."""
    for number, operation in enumerate(group[0][1].operations):
        done = (place for _, each in group for place in each.operations[number].places)
        yield replace(operation, places=tuple(done))


def _is_long(batch: Batch) -> bool:
    """Whether it is the longer piece that a short part is made in."""
    return batch.subject.part is not None and batch.subject.part.long is not None


def _labelled(made: SetUp, label: str) -> SetUp:
    return replace(made, name=f"{made.name}/{label.replace(' ', '-')}")
