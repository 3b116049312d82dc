"""Columns and rows of a linear programme, gathered one by one and handed to the solver whole."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

INFINITE = float("inf")


@dataclass(slots=True)
class Matrix:
    """Maximise cost · x + offset; columns are 0 or more; rows lie between two bounds and carry a label."""

    cost: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    offset: float = 0.0
    starts: list[int] = field(default_factory=lambda: [0])
    index: list[int] = field(default_factory=list)
    value: list[float] = field(default_factory=list)
    row_lower: list[float] = field(default_factory=list)
    row_upper: list[float] = field(default_factory=list)
    labels: list[tuple[Any, ...]] = field(default_factory=list)  # a name and its keys: strings and numbers

    def column(self, cost: float = 0.0, upper: float = INFINITE, *, whole: bool = False) -> int:
        """Add a column and return its number."""
        number = len(self.cost)
        self.cost.append(cost)
        self.upper.append(upper)
        if whole:
            self.whole.append(number)
        return number

    def row(self, entries: dict[int, float], lower: float, upper: float, label: tuple[Any, ...] = ()) -> int:
        """Add a row (a dict, because the solver refuses a column named twice in a row) and return its number."""
        self.index.extend(entries)
        self.value.extend(entries.values())
        self.starts.append(len(self.index))
        self.row_lower.append(lower)
        self.row_upper.append(upper)
        self.labels.append(label)
        return len(self.labels) - 1

    def at_most(self, entries: dict[int, float], upper: float = 0.0, label: tuple[Any, ...] = ()) -> int:
        return self.row(entries, -INFINITE, upper, label)

    def highs_model(self, *, whole: bool = True) -> Any:
        """The model as the solver takes it (highspy ships no types): rows one after the other, in one piece.

        whole=False leaves out that some columns are whole numbers.
        """
        import highspy  # slow to load: only where something is solved

        lp = highspy.HighsLp()
        columns, rows = len(self.cost), len(self.labels)
        lp.num_col_, lp.num_row_ = columns, rows
        lp.sense_ = highspy.ObjSense.kMaximize
        lp.offset_ = self.offset
        lp.col_cost_ = np.array(self.cost)
        lp.col_lower_, lp.col_upper_ = np.zeros(columns), np.array(self.upper)
        lp.row_lower_, lp.row_upper_ = np.array(self.row_lower), np.array(self.row_upper)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.num_col_, lp.a_matrix_.num_row_ = columns, rows
        lp.a_matrix_.start_ = np.array(self.starts, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(self.index, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(self.value)
        if whole and self.whole:
            kinds = [highspy.HighsVarType.kContinuous] * columns
            for number in self.whole:
                kinds[number] = highspy.HighsVarType.kInteger
            lp.integrality_ = kinds
        return lp
