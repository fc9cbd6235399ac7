"""Tightening: torque and tension of a metric thread, the order of the bolts, and how far a bolt stretches.

No torque, tension, friction or stage is ever assumed: all come from the engine's papers.
Sources: ISO 724 and ISO 68-1 (thread geometry), VDI 2230:2003 (torque, preload limit), ISO 898-1 (strength classes).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, radians, sqrt

_PER_PITCH = 0.5 * sqrt(3.0)  # Height of the fundamental triangle over the pitch (ISO 68-1).
_HALF_FLANK_COSINE = cos(radians(30.0))
STRENGTHS = {"8.8": "8.8", "10.9": "10.9"}
SLENDEREST = 0.8  # Pitch over diameter from which on a thread would have no core left.


def circle_area_mm2(diameter_mm: float) -> float:
    """Area of a round section. Formula: pi d^2 / 4. Returns: [mm2].

    >>> round(circle_area_mm2(26.0), 2)
    530.93
    """
    return 0.25 * pi * diameter_mm**2


@dataclass(frozen=True, slots=True)
class Thread:
    """A metric thread by its outer diameter and pitch.

    >>> thread = Thread(12.0, 1.75)
    >>> round(thread.pitch_diameter_mm, 3), round(thread.core_diameter_mm, 3), round(thread.stress_area_mm2, 1)
    (10.863, 9.853, 84.3)
    """

    d_mm: float
    pitch_mm: float

    @property
    def pitch_diameter_mm(self) -> float:
        """d2 [mm]. Formula: d - 0.75 H, H = sqrt(3) / 2 x pitch. Source: ISO 724."""
        return self.d_mm - 0.75 * _PER_PITCH * self.pitch_mm

    @property
    def core_diameter_mm(self) -> float:
        """d3 [mm]. Formula: d - 1.25 H - H / 6. Source: ISO 724, ISO 898-1."""
        height = _PER_PITCH * self.pitch_mm
        return self.d_mm - 1.25 * height - height / 6.0

    @property
    def stress_diameter_mm(self) -> float:
        """d0 [mm]. Formula: (d2 + d3) / 2. Source: ISO 898-1."""
        return 0.5 * (self.pitch_diameter_mm + self.core_diameter_mm)

    @property
    def stress_area_mm2(self) -> float:
        """A0 [mm2]. Formula: pi d0^2 / 4. Source: ISO 898-1."""
        return circle_area_mm2(self.stress_diameter_mm)

    @property
    def core_area_mm2(self) -> float:
        """A3 [mm2]. Formula: pi d3^2 / 4. Source: VDI 2230."""
        return circle_area_mm2(self.core_diameter_mm)

    @property
    def helix(self) -> float:
        """Tangent of the helix angle [1]. Formula: pitch / (pi d2)."""
        return self.pitch_mm / (pi * self.pitch_diameter_mm)


def torque_per_tension_mm(thread: Thread, head_diameter_mm: float, friction_thread: float, friction_head: float) -> float:
    """Torque for each newton of tension.

    Formula: (d2 / 2) (tan phi + mu') / (1 - mu' tan phi) + (Dkm / 2) mu_head, tan phi = P / (pi d2), mu' = mu_thread /
    cos 30 deg. Parameters: thread, mean friction diameter under the head [mm], frictions [1, 0 to 1].
    Returns: [N.mm/N = mm]. Source: VDI 2230, exact form.

    >>> round(200.0 * torque_per_tension_mm(Thread(30.0, 3.5), 39.5, 0.10, 0.12), 4)
    907.5803
    """
    sliding = friction_thread / _HALF_FLANK_COSINE
    in_thread = 0.5 * thread.pitch_diameter_mm * (thread.helix + sliding) / (1.0 - sliding * thread.helix)
    return in_thread + 0.5 * head_diameter_mm * friction_head


def yield_mpa(strength: str, d_mm: float) -> float:
    """Least 0.2 % yield strength of a class. Parameters: class, d [mm]. Returns: [MPa]. Source: ISO 898-1.

    >>> yield_mpa("8.8", 16.0), yield_mpa("8.8", 18.0), yield_mpa("10.9", 30.0)
    (640.0, 660.0, 940.0)
    """
    if strength == "10.9":
        return 940.0
    return 640.0 if d_mm <= 16.0 else 660.0


def preload_limit_kn(thread: Thread, friction_thread: float, strength: str) -> float:
    """Tension at which tension and twist together use 90 % of the yield strength.

    Formula: A0 0.9 R / sqrt(1 + 3 [1.5 (d2 / d0) (P / (pi d2) + 1.155 mu_thread)]^2).
    Parameters: thread, friction in it [1], strength class. Returns: [kN]. Source: VDI 2230:2003.

    >>> round(preload_limit_kn(Thread(12.0, 1.25), 0.12, "8.8"), 1)
    48.0
    """
    twist = 1.5 * thread.pitch_diameter_mm / thread.stress_diameter_mm * (thread.helix + 1.155 * friction_thread)
    stress = 0.9 * yield_mpa(strength, thread.d_mm) / sqrt(1.0 + 3.0 * twist * twist)
    return thread.stress_area_mm2 * stress / 1000.0


def elongation_mm(tension_kn: float, modulus_gpa: float, parts: Sequence[tuple[float, float]]) -> float:
    """How far a bolt stretches.

    Formula: F / E x sum(length / area). Parameters: tension [kN], modulus of elasticity [GPa], parts of the stretched
    length: length [mm] and area [mm2]. Returns: [mm]. Source: Hooke's law; VDI 2230 takes the core area in the thread.

    >>> round(elongation_mm(200.0, 205.0, [(300.0, 706.86), (40.0, 519.0)]), 3)
    0.489
    """
    return tension_kn / modulus_gpa * sum(length / area for length, area in parts)


def crosswise(bolts: int) -> list[int]:
    """The order in which to tighten bolts numbered round a circle.

    Each pair lies opposite (with an odd number: as nearly as can be), the second pair across the first, the others
    between them. Parameters: bolts [1 and more]. Returns: bolt numbers, each once.
    Source: for 4, 8, 12 ... the long-used pattern that ASME PCC-1 prints (from memory); opposite pairs are common practice.

    >>> crosswise(8), crosswise(12)
    ([1, 5, 3, 7, 2, 6, 4, 8], [1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12])
    >>> crosswise(6), crosswise(5)
    ([1, 4, 3, 6, 2, 5], [1, 4, 2, 5, 3])
    """
    half, odd = divmod(bolts, 2)
    # With an odd number the partner one place beyond is as near to opposite as any, and one bolt is left for the end.
    order = [bolt for start in _pair_starts(half) for bolt in (start, start + half + odd)]
    return [*order, half + 1] if odd else order


def _pair_starts(half: int) -> list[int]:
    """First bolt of each pair, out of the first half circle."""
    if half % 2:
        # No pair lies exactly across another; this stride comes nearest and meets every one.
        stride = (half + 1) // 2
        return [1 + k * stride % half for k in range(half)]
    quarter = half // 2
    stride = max(1, quarter // 2)
    starts = [start for first in range(1, stride + 1) for start in range(first, quarter + 1, stride)]
    return [each for start in starts for each in (start, start + quarter)]


def passes(bolts: int, stages: int) -> list[list[int]]:
    """Every pass: crosswise once for each stage, then one round in circular order, since bolts relax as others are drawn.

    Parameters: bolts, stages [1 and more]. Source: the closing round is common practice, no source.

    >>> passes(4, 2)
    [[1, 3, 2, 4], [1, 3, 2, 4], [1, 2, 3, 4]]
    """
    return [*(crosswise(bolts) for _ in range(stages)), list(range(1, bolts + 1))]
