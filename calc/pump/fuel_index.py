"""Fuel index and spill lift: the straight line between them, and what a unit delivers at another index.

The fuel index moves the end of delivery only, and the spill lift is linear in it (this pump's construction).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calc.measure.gum import root_sum_square
from calc.measure.line import Line, fit_line


@dataclass(frozen=True, slots=True)
class IndexLine:
    """Spill lift over fuel index of one unit, and the lift at which its delivery starts."""

    line: Line
    start_lift_mm: float

    @property
    def mm_per_index(self) -> float:
        """Spill lift for each step of the index [mm].

        >>> round(index_line([(2.0, 17.0), (7.0, 36.0)], 12.0).mm_per_index, 9)
        3.8
        """
        return self.line.slope

    def stroke_mm(self, index: float) -> float:
        """Effective stroke at an index [mm]; 0 where nothing is delivered. Formula: spill lift - start lift.

        >>> round(index_line([(2.0, 17.0), (7.0, 36.0)], 12.0).stroke_mm(4.0), 9)
        12.6
        """
        return max(0.0, self.line.value(index) - self.start_lift_mm)

    @property
    def zero_index(self) -> float:
        """Index at which the spill valve opens as the suction valve closes, so that nothing is delivered [index].

        Formula: (H_c - a) / b.

        >>> round(index_line([(2.0, 17.0), (7.0, 36.0)], 12.0).zero_index, 4)
        0.6842
        """
        return self.line.mean_x + (self.start_lift_mm - self.line.mean_y) / self.line.slope

    @property
    def u_zero_index(self) -> float | None:
        """Its standard uncertainty from the scatter about the line [index], None for fewer than three readings.

        Formula: (s / |b|) sqrt(1/n + (I_0 - mean index)^2 / Sxx). Source: inverse prediction, JCGM 100:2008, H.3.

        >>> index_line([(2.0, 17.0), (7.0, 36.0)], 12.0).u_zero_index is None
        True
        """
        return self.line.u_value(self.zero_index) / abs(self.line.slope) if self.line.dof > 0 else None


def line_zero_doubt(line: IndexLine, u_start_mm: float, u_contact_mm: float) -> float | None:
    """Standard uncertainty of the index of zero delivery by the line, its start lift and gauges counted [index].

    Formula: u^2 = u_line^2 + (u^2(H_c) + (u_v / i_o)^2) / b^2. Lifts at all indices and at the start are read on one plunger
    gauge; u(H_c) holds its doubt once. Parameters: u of the start lift, and of the spill valve's contact as lift [mm].
    Returns: None for fewer than three readings.

    >>> line_zero_doubt(index_line([(2.0, 17.0), (7.0, 36.0)], 12.0), 0.01, 0.005) is None
    True
    """
    scatter = line.u_zero_index
    if scatter is None:
        return None
    return root_sum_square((scatter, u_start_mm / line.mm_per_index, u_contact_mm / line.mm_per_index))


def index_line(points: Sequence[tuple[float, float]], start_lift_mm: float) -> IndexLine | None:
    """The line through readings of spill lift at several indices.

    Parameters: points: index and spill lift [index, mm]; lift at which the suction valve closes [mm]. Returns: the line,
    None where all indices are the same or the lift does not rise with the index.

    >>> index_line([(3.0, 20.0), (3.0, 20.1)], 12.0) is None
    True
    """
    line = fit_line([index for index, _ in points], [lift for _, lift in points])
    return None if line is None or line.noise or line.slope <= 0.0 else IndexLine(line, start_lift_mm)
