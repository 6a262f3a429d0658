"""Linear and integer programmes by the HiGHS library, as packing asks them.

Both look for the least ``costs . x`` with ``rows x >= least`` and x not less than nought.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

Costs = Sequence[int]
Rows = Sequence[Sequence[int]]


def linear(costs: Costs, rows: Rows, least: Sequence[int]) -> tuple[float, list[float]]:
    """The least cost, and the price of each row: what one more of it would cost."""
    solved = _solved(_model(costs, rows, least))
    prices = [float(price) for price in solved.getSolution().row_dual]
    return float(solved.getInfo().objective_function_value), prices


def whole(
    costs: Costs, rows: Rows, least: Sequence[int], seconds: float
) -> tuple[list[int] | None, float]:
    """The best whole numbers found within some seconds, if any, and a lower bound of the cost."""
    import highspy  # noqa: PLC0415  only where boards are packed

    model = _model(costs, rows, least)
    model.integrality_ = [highspy.HighsVarType.kInteger] * len(costs)
    model.col_upper_ = [float(sum(least))] * len(costs)
    solved = _solved(model, seconds)
    info = solved.getInfo()
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None, 0.0
    return [round(each) for each in solved.getSolution().col_value], float(info.mip_dual_bound)


def _model(costs: Costs, rows: Rows, least: Sequence[int]) -> Any:
    import highspy  # noqa: PLC0415  as above

    filled = [
        [(row, values[column]) for row, values in enumerate(rows) if values[column]]
        for column in range(len(costs))
    ]
    starts = [0]
    for column in filled:
        starts.append(starts[-1] + len(column))
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(costs), len(rows)
    model.col_cost_ = [float(cost) for cost in costs]
    model.col_lower_ = [0.0] * len(costs)
    model.col_upper_ = [highspy.kHighsInf] * len(costs)
    model.row_lower_ = [float(each) for each in least]
    model.row_upper_ = [highspy.kHighsInf] * len(rows)
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = starts
    model.a_matrix_.index_ = [row for column in filled for row, _ in column]
    model.a_matrix_.value_ = [float(value) for column in filled for _, value in column]
    return model


def _solved(model: Any, seconds: float | None = None) -> Any:
    import highspy  # noqa: PLC0415  as above

    solver = highspy.Highs()  # type: ignore[no-untyped-call]  # its own types lack this one
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("mip_rel_gap", 0.0)
    if seconds is not None:
        solver.setOptionValue("time_limit", seconds)
    solver.passModel(model)
    solver.run()
    return solver
