"""`order --json`: the route of a job, or the best order of a recipe."""

from __future__ import annotations

from typing import Any

from setupsheets.json_forms.document import form
from setupsheets.json_forms.pieces_due_form import pieces_of_set_up
from setupsheets.lengths import Notation
from setupsheets.machining.plan import Plan
from setupsheets.machining.routing.route import by_number, comes_to, joint_by_joint, standing
from setupsheets.machining.support.operation_order import BestOrder
from setupsheets.sheets.content.inputs import OnRecord
from setupsheets.wording.support import reason_words


def route_form(plan: Plan, records: OnRecord, notation: Notation) -> dict[str, Any]:
    """A job's route and what it comes to, beside the same joint by joint; ``least`` is what no
    order comes below, None where no other was looked for."""
    tasks = by_number(plan.set_ups)
    left = standing(tasks, records.to_dial)
    return form(
        "route",
        job=plan.job.name,
        route=[
            {
                "number": task.number,
                "operation": task.operation.name,
                "set_up": task.set_up.name,
                "machine": task.operation.machine.name,
                "parts": dict(task.counts),
                "left_from": dict(left[task.number].settings),
                "cutter_from": left[task.number].cutter,
                **pieces_of_set_up(task.set_up, records.state(task.set_up).due, notation),
            }
            for task in tasks
        ],
        comes_to=comes_to(tasks, records.to_dial)._asdict(),
        joint_by_joint=comes_to(joint_by_joint(plan.set_ups), records.to_dial)._asdict(),
        least=plan.least._asdict() if plan.least else None,
    )


def order_form(found: BestOrder, recipe: str, section: str, notation: Notation) -> dict[str, Any]:
    """A recipe's best order on a section, and why others are worse."""
    return form(
        "order",
        recipe=recipe,
        section=section,
        best=list(found.best.names),
        given=list(found.given.names),
        better=found.better,
        reasons=[reason_words(reason, found.best, notation) for reason in found.reasons],
    )
