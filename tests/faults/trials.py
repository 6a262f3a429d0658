"""One act under one harm, and what is judged of it: from the files and words left behind."""

from __future__ import annotations

import errno
import shutil
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

from tests.faults import forked
from tests.faults.acts import Act, Snapshot, UnmadeError, made_ready, pieces, snapshot
from tests.faults.forked import Held, Outcome
from tests.faults.layer import HELD, READING, Case, Harm, Layer
from tests.faults.tally import Tally

State = frozenset[tuple[str, str]]


@dataclass(frozen=True)
class Stage:
    """An act made ready: the shop before it, what an undisturbed run comes to, and the command held
    before the first of its ``calls`` that may write, ``reads`` after its start.

    Few states are left behind by many faults, so each is looked into once: ``kept`` and ``again``
    remember by state the test pieces in it, and what the same command makes of it."""

    act: Act
    shop: Path
    old: Snapshot
    new: Snapshot
    pieces_before: list[str]
    pieces_after: list[str]
    calls: tuple[str, ...]
    held: Held
    reads: int
    kept: dict[State, list[str] | None] = field(default_factory=dict)
    again: dict[State, list[tuple[str, str]]] = field(default_factory=dict)

    def pieces(self, here: Path) -> list[str] | None:
        """The test pieces in a shop; None where its records cannot be read."""
        state = frozenset(snapshot(here).items())
        if state not in self.kept:
            self.kept[state] = pieces(here)
        return self.kept[state]

    def copy(self) -> Path:
        """The shop before the act, anew, at the very path that it always has."""
        here = self.shop.with_name("shop")
        shutil.rmtree(here, ignore_errors=True)
        shutil.copytree(self.shop, here)
        return here

    def run(self, case: Case) -> tuple[Path, Outcome]:
        """The act with one call harmed, in the shop anew."""
        here = self.copy()
        if 0 < case.at <= self.reads:
            layer = Layer(here, case.at, case.harm, case.error, case.lasting)
            return here, _from_the_start(self.act, here, layer)
        return here, self.held.go_on(case)


def staged(act: Act, room: Path) -> Stage:
    """Run an act undisturbed and note what it comes to and which file calls it makes."""
    shop = made_ready(act, room / "ready")
    here, report = room / "shop", room / "calls"
    shutil.copytree(shop, here)
    layer = Layer(here)

    def install(hold: Callable[[], object]) -> Callable[[Case], None]:
        forked.same_names_each_time()
        layer.hold = hold
        layer.install()
        return layer.change

    try:
        held = Held(act.command, here, install, typed=act.typed)
    except RuntimeError as refused:  # readings drawn the same as those of the piece before
        raise UnmadeError(f"{act.name}: {refused}") from None
    stage = Stage(act, shop, snapshot(shop), {}, pieces(shop) or [], [], (), held, 0)
    _, done = stage.run(Case(report=report))
    if done.code != 0:
        held.close()
        raise UnmadeError(f"{act.name}: {done.err}")
    after = pieces(here)
    assert after is not None
    calls = report.read_text("utf-8").split()
    reads = calls.index(HELD)
    del calls[reads]
    new = snapshot(here)
    return replace(stage, new=new, pieces_after=after, calls=tuple(calls), reads=reads)


def _from_the_start(act: Act, here: Path, layer: Layer) -> Outcome:
    def before() -> None:
        forked.same_names_each_time()
        layer.install()

    return forked.run(act.command, here, before=before, typed=act.typed)


def kills(stage: Stage) -> Iterator[tuple[int, Harm]]:
    """Every moment of an act at which the power may go and something may have been written: what is
    left after one call is what is there before the next."""
    number = 0
    for number, call in enumerate(stage.calls, 1):
        if number > stage.reads and call not in (*READING, "read"):
            yield number, Harm.KILL_BEFORE
            if call == "write":
                yield number, Harm.KILL_AMID
    yield number, Harm.KILL_AFTER


def killed(stage: Stage, number: int, harm: Harm, tally: Tally) -> None:
    """The power goes at one call; then the same command is given again, as anybody would."""
    call = stage.calls[number - 1]
    story = f"{stage.act.name}, {harm.name.lower()} call {number} ({call})"
    here, outcome = stage.run(Case(number, harm))
    tally.ended(story, outcome)
    _nothing_harmed(stage, here, story, tally, told_done=outcome.code == 0)
    _again(stage, here, story, tally)


def failed(stage: Stage, number: int, error: int, tally: Tally, *, lasting: bool = False) -> None:
    """One call fails, or all from there on; the words must say what is so, and then the same
    command is given again if they ask for it."""
    call = stage.calls[number - 1]
    story = f"{stage.act.name}, {errno.errorcode[error]} at call {number} ({call})"
    story += " and after" if lasting else ""
    here, outcome = stage.run(Case(number, Harm.FAIL, error, lasting))
    tally.ended(story, outcome)
    judged(stage, here, story, outcome, tally)


def judged(stage: Stage, here: Path, story: str, outcome: Outcome, tally: Tally) -> None:
    """What a command that met a failing call has left, against what it said."""
    _nothing_harmed(stage, here, story, tally, told_done=outcome.code == 0)
    if why := untruth(stage, here, outcome):
        tally.wrong("untrue", f"{story}: {why}")
    if "try again" in outcome.err or "nothing was written" in outcome.err:
        _again(stage, here, story, tally)


def untruth(stage: Stage, here: Path, outcome: Outcome) -> str | None:
    """In which way the words and the code of a command do not say what it has kept."""
    found = snapshot(here)
    said = " ".join(outcome.err.split())
    if outcome.code == 0 and found != stage.new and not _as_good(stage, here):
        return f"exit 0, and it is not done: {said[:160]!r}"
    if outcome.code == 0:
        return None
    nothing = "nothing was written" in said or "is unchanged" in said
    kept = "kept" in said.lower()
    if nothing and not kept and found != stage.old:
        changed = [name for name in {*found, *stage.old} if found.get(name) != stage.old.get(name)]
        return f"said {said[-100:]!r}, and {len(changed)} files are written, {changed[:1]}"
    if found == stage.old and "Kept in" in said and stage.act.keeps and not stage.act.typed:
        return f"said it is kept, and it is not: {said[-100:]!r}"
    if not said and outcome.code == 1:
        return "exit 1 without a word"
    return None


def _as_good(stage: Stage, here: Path) -> bool:
    """Whether the records say what they should, whatever their files are called."""
    return stage.act.keeps and stage.pieces(here) == stage.pieces_after


def _nothing_harmed(stage: Stage, here: Path, story: str, tally: Tally, *, told_done: bool) -> None:
    found = snapshot(here)
    if found in (stage.old, stage.new):
        return
    odd = [
        name
        for name in {*found, *stage.old}
        if found.get(name) not in (stage.old.get(name), stage.new.get(name))
    ]
    records = [name for name in odd if name.startswith("records/")]
    for name in set(odd) - set(records):
        tally.wrong("damaged", f"{story}: {name} is neither the old file nor the new")
    if any(name.startswith("records/") for name in {*found} ^ {*stage.old}) or records:
        kept = stage.pieces(here)
        if kept is None:
            tally.wrong("damaged", f"{story}: the records cannot be read, {records[:1]}")
        elif _missing(stage.pieces_before, kept):
            tally.wrong("lost", f"{story}: {_missing(stage.pieces_before, kept)}")
        elif told_done and _missing(stage.pieces_after, kept):
            tally.wrong("lost", f"{story}: acknowledged: {_missing(stage.pieces_after, kept)}")


def _missing(wanted: list[str], found: list[str]) -> list[str]:
    """Test pieces that are gone; a verdict may have changed."""
    gone = Counter(wanted) - Counter(found)
    return [each for each in gone if not each.startswith("verdict")]


def _again(stage: Stage, here: Path, story: str, tally: Tally) -> None:
    """The same command once more, undisturbed: it must end well and keep nothing twice."""
    state = frozenset(snapshot(here).items())
    if state not in stage.again:
        stage.again[state] = list(_wrongs_of_again(stage, here))
    for kind, words in stage.again[state]:
        tally.wrong(kind, f"{story}, then again: {words}")


def _wrongs_of_again(stage: Stage, here: Path) -> Iterator[tuple[str, str]]:
    outcome = forked.run(stage.act.command, here, typed=stage.act.typed)
    met = Tally("again")
    met.looked_at("", outcome)
    yield from (("tracebacks" if met.tracebacks else "hangs", story) for story in met.examples)
    if not stage.act.keeps:
        if outcome.code != 0:
            yield "untrue", f"exit {outcome.code}: {outcome.err.strip()[-120:]}"
        return
    kept = stage.pieces(here)
    if kept is None:
        yield "damaged", "the records cannot be read"
        return
    wanted = [each for each in stage.pieces_after if not each.startswith("verdict")]
    found = [each for each in kept if not each.startswith("verdict")]
    if len(found) > len(wanted) and not stage.act.typed:
        yield "doubled", f"{len(found)} for {len(wanted)} pieces"


@contextmanager
def in_room(act: Act) -> Iterator[Stage]:
    """An act staged in a folder of its own."""
    with tempfile.TemporaryDirectory(prefix="faults-") as room:
        stage = staged(act, Path(room).resolve())
        try:
            yield stage
        finally:
            stage.held.close()
