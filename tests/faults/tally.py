"""What was tried and what went wrong, counted; and the one table of it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass, field

from tests.faults.forked import Outcome

WRONGS = ("lost", "damaged", "doubled", "tracebacks", "hangs", "untrue")
MOST_EXAMPLES = 40


@dataclass
class Tally:
    """One line of the table. ``lost``: something acknowledged that is not there; ``damaged``: a
    file that is neither the old one nor the new; ``doubled``: one piece kept twice when the command
    is given again; ``untrue``: words or an exit code that do not say what is kept."""

    what: str
    tried: int = 0
    lost: int = 0
    damaged: int = 0
    doubled: int = 0
    tracebacks: int = 0
    hangs: int = 0
    untrue: int = 0
    examples: list[str] = field(default_factory=list)

    def wrong(self, kind: str, words: str) -> None:
        """Count one thing that went wrong and keep its story."""
        setattr(self, kind, getattr(self, kind) + 1)
        if sum(each.startswith(f"{kind}:") for each in self.examples) < MOST_EXAMPLES:
            self.examples.append(f"{kind}: {words}")

    def ended(self, story: str, outcome: Outcome) -> None:
        """Count one command that has ended, whatever it should have done."""
        self.tried += 1
        self.looked_at(story, outcome)

    def looked_at(self, story: str, outcome: Outcome) -> None:
        """Tracebacks and hangs of a command that is no trial of its own."""
        if outcome.hung:
            self.wrong("hangs", f"{story}: {outcome.peak // 1000} MB")
        elif outcome.traceback:
            last = outcome.err.strip().splitlines()[-1:] or [f"ended by {outcome.code}"]
            self.wrong("tracebacks", f"{story}: {last[0]}")

    @property
    def sound(self) -> bool:
        """Whether nothing at all went wrong."""
        return not any(getattr(self, kind) for kind in WRONGS)


def table(tallies: Iterable[Tally]) -> str:
    """The table as text."""
    rows: list[tuple[str, ...]] = [("", "tried", *WRONGS)]
    made = list(tallies)
    rows += [(t.what, str(t.tried), *(str(getattr(t, kind)) for kind in WRONGS)) for t in made]
    sums = [sum(getattr(t, kind) for t in made) for kind in ("tried", *WRONGS)]
    rows.append(("together", *map(str, sums)))
    wide = max(len(row[0]) for row in rows)
    return "\n".join(
        row[0].ljust(wide) + "".join(cell.rjust(12) for cell in row[1:]) for row in rows
    )


def as_json(tallies: Iterable[Tally]) -> str:
    """The same for a program."""
    return json.dumps([asdict(tally) for tally in tallies], indent=1)
