"""Past checks and their trends."""

from __future__ import annotations

from calc.show.trend_asked import past, trend
from calc.show.trend_asked import trend_on_paper as trend_paper

__all__ = ["past", "trend", "trend_paper"]
