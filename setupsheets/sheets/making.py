"""A job's finished sheets, from the shop's files and records: everything gathered in one place."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from setupsheets.machining.operations import Plan
from setupsheets.machining.proof import Proof, prove_plan
from setupsheets.records.standing import standings
from setupsheets.sheets.content import build_content
from setupsheets.sheets.content_operations import Findings
from setupsheets.sheets.finished import SheetContent
from setupsheets.shop.finding import Shop


def make_sheets(shop: Shop, plan: Plan, today: datetime.date) -> SheetContent:
    """The sheets of a plan as they are on a day, with all that the records and the proof say."""
    return build_content(
        plan,
        shop.settings,
        standings(plan, shop, today),
        [caution for file in shop.cautions() for caution in file.cautions],
        today,
        Findings(proofs=_proved(prove_plan(plan), shop)),
        shop.timber(plan.job.timber).title,
    )


def _proved(proofs: tuple[Proof, ...], shop: Shop) -> Mapping[str, tuple[bool, str]]:
    """By set-up, whether all that it takes part in proves, and what to say where it does not."""
    notation = shop.settings.notation
    found: dict[str, tuple[bool, str]] = {}
    for proof in proofs:
        for name in proof.set_ups:
            holds, words = found.get(name, (True, ""))
            if not proof.holds:
                words = "; ".join(filter(None, (words, proof.text(notation.show))))
            found[name] = (holds and proof.holds, words)
    return found
