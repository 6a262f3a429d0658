"""The short form of the faults: the same command that tries all of them, on a few fixed cases."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.tally import WRONGS

ROOT = Path(__file__).parents[2]


@pytest.mark.skipif(sys.platform == "win32", reason="processes are forked")
def test_a_few_faults_lose_damage_and_double_nothing_and_are_told_truly() -> None:
    command = [sys.executable, "-m", "tests.faults", "--short", "--json"]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    tallies = json.loads(ran.stdout)
    tried = {tally["what"]: tally["tried"] for tally in tallies}
    assert (tried.pop("odd entries"), tried.pop("writers at once")) == (4, 5)
    assert tried.keys() == {"kills", "failures"}
    assert tried["kills"] >= 25 and tried["failures"] >= 30, "every file call"
    for tally in tallies:
        assert [tally[wrong] for wrong in WRONGS] == [0] * len(WRONGS), tally["examples"]
