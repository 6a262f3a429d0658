"""Many makers at once: every one keeps a test piece of its own in one record, or is told truly."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.faults import forked
from tests.faults.acts import FIRST, LOG, new_shop, pieces
from tests.faults.tally import Tally


def writers_at_once(count: int, *, begun: bool) -> Tally:
    """``count`` processes log at the same time, into a record that is begun already or into none.

    A reading of its own tells each piece: 15.1001 in, 15.1002 in and so on.
    """
    tally = Tally("writers at once")
    with tempfile.TemporaryDirectory(prefix="faults-") as room:
        shop = new_shop(Path(room).resolve() / "shop")
        if begun:
            forked.run(FIRST, shop)
        readings = [f"15.{1001 + number}".rstrip("0") for number in range(count)]
        commands = [(*LOG, "--found", f"overall={each}", "--did", "nothing") for each in readings]
        running = [(each, *forked.start(each, shop, seconds=1200)) for each in commands]
        ended = [forked.finished(*each) for each in running]
        kept = " ".join(pieces(shop) or [])
        if len(heads := [*(shop / "records").glob("*.yaml")]) != 1:
            tally.wrong("doubled", f"{count} writers began {len(heads)} records of one set-up")
        for reading, outcome in zip(readings, ended, strict=True):
            story = f"{count} writers, {reading}"
            tally.ended(story, outcome)
            times, said = kept.count(f"overall {reading} in"), " ".join(outcome.err.split())
            if outcome.code == 0 and times == 0:
                tally.wrong("lost", f"{story}: acknowledged and not there")
            if times > 1:
                tally.wrong("doubled", f"{story}: {times} times")
            if outcome.code != 0 and times and "nothing was written" in said:
                tally.wrong("untrue", f"{story}: it is there; said {said[-100:]!r}")
    return tally
