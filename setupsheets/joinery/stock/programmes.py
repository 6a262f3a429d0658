"""Integer programmes by the HiGHS library, as packing asks them."""

from __future__ import annotations

from collections.abc import Sequence

HUNG = 60.0
"""Seconds after which a search is broken off though it has nodes left."""


def whole(
    costs: Sequence[int], columns: Sequence[Sequence[int]], least: Sequence[int], nodes: int
) -> tuple[list[int] | None, float]:
    """The least ``costs . x`` for whole ``x`` not less than nought whose ``columns``, each times
    its x, come to no less than ``least``: the best x found within so many nodes of the search, if
    any, and a lower bound of the cost. Nodes, not seconds: a busy machine finds the same."""
    import highspy  # noqa: PLC0415  only where boards are packed

    solver = highspy.Highs()  # type: ignore[no-untyped-call]  # its own types lack this one
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_max_nodes", nodes)
    solver.setOptionValue("time_limit", HUNG)
    for wanted in least:
        solver.addRow(wanted, highspy.kHighsInf, 0, [], [])
    for number, (cost, column) in enumerate(zip(costs, columns, strict=True)):
        counts = [float(count) for count in column]
        solver.addCol(cost, 0, sum(least), len(counts), list(range(len(counts))), counts)
        solver.changeColIntegrality(number, highspy.HighsVarType.kInteger)
    solver.run()
    info = solver.getInfo()
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None, 0.0
    return [round(each) for each in solver.getSolution().col_value], float(info.mip_dual_bound)
