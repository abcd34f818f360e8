"""What every use of the integer-program solver shares.

A search ends at a count of branches, never at a time, and runs on one thread with one
seed: the same input gives the same plan on a fast machine and on a slow or busy one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from quietacre.library_output import STDOUT, silenced

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    #: Columns, their factors, least and most of a row.
    Row = tuple[Sequence[int], Sequence[float], float, float]
    #: Settings of the solver, by its own names.
    Options = Mapping[str, str | bool | int | float]


def dot(left: Any, right: Any) -> Any:  # noqa: ANN401 - arrays of any number of axes
    """Return sums of products over the last axis, to the last bit alike on any processor.

    The libraries behind ``@`` round otherwise on another processor; that is enough to tip
    the balance between two plans.
    """
    return (np.asarray(left) * np.asarray(right)).sum(axis=-1)


def loaded(
    cost: Sequence[float],
    lower: Sequence[float],
    upper: Sequence[float],
    whole: Sequence[bool],
    rows: Sequence[Row],
    options: Options,
) -> Any:  # noqa: ANN401 - the solver has no types
    """Return the solver holding a least-cost program, ready to run."""
    import highspy

    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(cost), len(rows)
    lp.col_cost_ = np.array(cost, dtype=float)
    lp.col_lower_ = np.array(lower, dtype=float)
    lp.col_upper_ = np.array(upper, dtype=float)
    lp.row_lower_ = np.array([row[2] for row in rows], dtype=float)
    lp.row_upper_ = np.array([row[3] for row in rows], dtype=float)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.cumsum([0, *(len(row[0]) for row in rows)], dtype=np.int32)
    lp.a_matrix_.index_ = np.array([c for row in rows for c in row[0]], dtype=np.int32)
    lp.a_matrix_.value_ = np.array([v for row in rows for v in row[1]], dtype=float)
    if any(whole):
        kind = highspy.HighsVarType
        lp.integrality_ = [kind.kInteger if w else kind.kContinuous for w in whole]
    with silenced(STDOUT):  # the solver greets on the terminal when it is made
        solver: Any = highspy.Highs()  # type: ignore[no-untyped-call]
    same = {"output_flag": False, "threads": 1, "random_seed": 1, "mip_rel_gap": 0.0}
    for key, value in {**same, **options}.items():
        solver.setOptionValue(key, value)
    solver.passModel(lp)
    return solver


def cut_off(solver: Any) -> bool:  # noqa: ANN401 - the solver has no types
    """Return whether a run ended at its time, so that a faster machine may get further."""
    import highspy

    ended = solver.getModelStatus() == highspy.HighsModelStatus.kTimeLimit
    return bool(ended)
