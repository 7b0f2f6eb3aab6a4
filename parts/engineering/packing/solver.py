"""The linear and integer programs of the trade, handed to the HiGHS solver as matrices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

INF = float("inf")


@dataclass(frozen=True)
class Solved:
    """What the solver found.

    Args:
        found: True when `x` meets every limit.
        proven: True when no better answer can exist (within the solver's tolerance of 1e-6).
        impossible: True when it is proven that nothing meets every limit.
        x: The answer, one figure per variable; empty when nothing was found.
        objective: What `x` costs.
        bound: No answer costs less than this.
        prices: Of a linear program: what one more unit of each row's limit is worth.
    """

    found: bool
    proven: bool
    impossible: bool
    x: tuple[float, ...]
    objective: float
    bound: float
    prices: tuple[float, ...] = ()


def solve(
    cost: Sequence[float],
    rows: Sequence[dict[int, float]],
    low: Sequence[float],
    high: Sequence[float],
    *,
    upper: Sequence[float] | None = None,
    whole: bool = False,
    seconds: float | None = None,
    gap: float = 0.0,
) -> Solved:
    """Find the cheapest x ≥ 0 with low ≤ A x ≤ high.

    Args:
        cost: Cost of one unit of each variable, n of them.
        rows: The matrix A by rows, each {variable: coefficient}, m of them.
        low, high: Limits of each row; -INF or INF for none.
        upper: Greatest value of each variable; none when left out.
        whole: True when every variable must be a whole number.
        seconds: Give up after this long and return the best found. [s]
        gap: Stop when the cost is within this fraction of the bound.

    Source: HiGHS, https://highs.dev (Huangfu and Hall, Mathematical Programming Computation 10,
    2018, for the simplex method).
    """
    import highspy
    import numpy as np

    n, m = len(cost), len(rows)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = n, m
    lp.col_cost_ = np.asarray(cost, dtype=float)
    lp.col_lower_ = np.zeros(n)
    lp.col_upper_ = np.full(n, INF) if upper is None else np.asarray(upper, dtype=float)
    lp.row_lower_ = np.asarray(low, dtype=float)
    lp.row_upper_ = np.asarray(high, dtype=float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0] + [len(row) for row in rows]).astype(np.int32)
    lp.a_matrix_.index_ = np.array([j for row in rows for j in row], dtype=np.int32)
    lp.a_matrix_.value_ = np.array([v for row in rows for v in row.values()], dtype=float)
    if whole:
        lp.integrality_ = [highspy.HighsVarType.kInteger] * n
    # The plain solver: its Python wrapper prints a banner before it can be told to be silent.
    highs = getattr(highspy._core, "_Highs", highspy.Highs)()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)  # same answer on every machine
    if whole:
        highs.setOptionValue("mip_rel_gap", gap)
        highs.setOptionValue("mip_abs_gap", 1e-6)
    if seconds is not None:
        highs.setOptionValue("time_limit", max(0.01, float(seconds)))
    highs.passModel(lp)
    highs.run()
    status = highs.getModelStatus()
    info = highs.getInfo()
    found = info.primal_solution_status == int(highspy.SolutionStatus.kSolutionStatusFeasible)
    proven = status == highspy.HighsModelStatus.kOptimal
    solution = highs.getSolution()
    return Solved(
        found=found,
        proven=proven,
        impossible=status == highspy.HighsModelStatus.kInfeasible,
        x=tuple(solution.col_value) if found else (),
        objective=info.objective_function_value if found else INF,
        bound=info.mip_dual_bound if whole else (info.objective_function_value if proven else -INF),
        prices=tuple(solution.row_dual) if not whole and proven else (),
    )
