"""What is known answers a whole command and nobody else, and the same values alone."""

from __future__ import annotations

import shutil
from contextlib import ExitStack
from pathlib import Path

from setupsheets.files import dumping
from setupsheets.files.documents import read_document
from setupsheets.joinery.stock.programmes import whole
from setupsheets.machining import plan
from setupsheets.shop.finding import Shop
from tests.commands.conftest import EXAMPLES
from tests.known_values import a_command, known

ASKED = ([56, 56], [(1, 2), (2, 0)], [3, 4], 100)


def test_within_a_command_the_same_is_worked_out_once() -> None:
    with a_command():
        made = whole(*ASKED)
        assert whole(*ASKED) is made
        assert whole([57, 56], *ASKED[1:]) != made


def test_a_call_of_its_own_has_its_own_work() -> None:
    with a_command():
        made = whole(*ASKED)
    again = whole(*ASKED)
    assert again == made and again is not made


def test_a_file_s_text_is_that_of_its_keys() -> None:
    files = list(EXAMPLES.rglob("*.yaml"))
    assert len(files) > 20
    for path in files:
        data = dict(read_document(path).data)
        with a_command():
            by_key = dumping.yaml_text(data)
        assert dumping.yaml_text(data) == by_key


def test_commands_at_once_leave_nothing_running() -> None:
    with ExitStack() as first, ExitStack() as second:
        first.enter_context(a_command())
        second.enter_context(a_command())
        first.close()
        assert known().running
        second.close()
        assert not known().running


def test_a_plan_is_known_by_every_file_of_its_shop(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(EXAMPLES / "larder", tmp_path / "larder"))

    def planned() -> plan.Plan:
        shop = Shop.around(folder)
        job = shop.job("larder")
        return plan.plan_job(job, plan.joinery_of(job, shop), shop)

    assert planned() is not planned(), "no command runs"
    with a_command():
        made = planned()
        assert planned() is made
        machine = folder / "machines" / "table-saw.yaml"
        machine.write_text(machine.read_text(encoding="utf-8") + "# a word\n", encoding="utf-8")
        assert planned() is not made
