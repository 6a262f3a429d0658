"""Files that once went wrong: refused by `check` in words, or served; never a traceback.

Each says on its first line where it goes in the larder example, and what `check` must make of it.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.running import run

EXAMPLES = Path(__file__).parents[2] / "examples"
CORPUS = sorted((Path(__file__).parent / "corpus").glob("*.yaml"))
COMMANDS = {
    "recipes": [["order", "NAME"]],
    "records": [["recall", "cope"], ["recall", "cope", "--number", "2", "--chart", "chart.svg"]],
    "jobs": [["parts", "larder"]],
    "cautions": [["sheet", "larder", "--format", "md"]],
    "shop.yaml": [["blocks", "17/32"], ["parts", "larder"]],
}


@pytest.mark.parametrize("case", CORPUS, ids=lambda path: path.stem)
def test_what_once_went_wrong(case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = case.read_text("utf-8")
    head = re.match(r"# as: (\S+); must: (be refused|pass)\n", text)
    assert head is not None
    shop = Path(shutil.copytree(EXAMPLES / "larder", tmp_path / "shop"))
    place = shop / head[1]
    place.parent.mkdir(exist_ok=True)
    place.write_text(text, "utf-8")
    monkeypatch.chdir(shop)
    checked = run("check", place)
    if head[2] == "be refused":
        assert checked.code == 1 and str(place.name) in checked.err, checked.out
    else:
        assert checked.code == 0, checked.err
    for command in COMMANDS[head[1].split("/")[0]]:
        ran = run(*(place.stem if word == "NAME" else word for word in command))
        assert ran.code in (0, 1) and (ran.out + ran.err).strip()
