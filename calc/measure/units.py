"""Units of the trade, turned into one another. Every factor is exact by definition.

Sources: standard gravity 9.80665 m/s2 (CGPM 1901), inch 25.4 mm, pound 0.45359237 kg; NIST SP 811 (2008), appendix B.
"""

from __future__ import annotations

_GRAVITY = 9.80665
_POUND_FORCE_N = 0.45359237 * _GRAVITY
_INCH_MM = 25.4

TORQUE, PRESSURE, LENGTH, TEMPERATURE, VISCOSITY = "torque", "pressure", "length", "temperature", "viscosity"

# What one of each is worth in the first unit of its kind.
_WORTH = {
    TORQUE: {"N.m": 1.0, "kgf.m": _GRAVITY, "lbf.ft": _POUND_FORCE_N * 0.3048},
    PRESSURE: {
        "bar": 1.0,
        "kPa": 0.01,
        "MPa": 10.0,
        "psi": _POUND_FORCE_N / _INCH_MM**2 * 10.0,
        "kgf/cm2": _GRAVITY / 10.0,
    },
    LENGTH: {"mm": 1.0, "in": _INCH_MM},
    TEMPERATURE: {"C": 1.0, "F": 1.0, "K": 1.0},
    VISCOSITY: {"mm2/s": 1.0, "cSt": 1.0},
}
KIND_OF = {unit: kind for kind, units in _WORTH.items() for unit in units}
_ZERO_C_IN_K = 273.15


def units_like(unit: str) -> list[str]:
    """All units of the same kind of quantity.

    >>> units_like("psi")
    ['bar', 'kPa', 'MPa', 'psi', 'kgf/cm2']
    """
    return list(_WORTH[KIND_OF[unit]])


def convert(value: float, unit: str, wanted: str) -> float:
    """A value in another unit of its kind.

    Formula: value x worth(unit) / worth(wanted); temperatures through kelvin. Parameters: value [unit], unit, wanted.
    Returns: [wanted]. Raises: ValueError where the two are of different kinds.

    >>> convert(1.0, "kgf.m", "N.m"), round(convert(100.0, "N.m", "lbf.ft"), 4), round(convert(212.0, "F", "C"), 9)
    (9.80665, 73.7562, 100.0)
    """
    kind = KIND_OF[unit]
    if KIND_OF[wanted] != kind:
        raise ValueError(f"{unit} is a {kind} and {wanted} a {KIND_OF[wanted]}: use one of {', '.join(units_like(unit))}")
    if unit == wanted:
        return value
    if kind == TEMPERATURE:
        return _from_celsius(_to_celsius(value, unit), wanted)
    return value * _WORTH[kind][unit] / _WORTH[kind][wanted]


def _to_celsius(value: float, unit: str) -> float:
    if unit == "F":
        return (value - 32.0) / 1.8
    return value - _ZERO_C_IN_K if unit == "K" else value


def _from_celsius(value: float, unit: str) -> float:
    if unit == "F":
        return value * 1.8 + 32.0
    return value + _ZERO_C_IN_K if unit == "K" else value


def least_of(unit: str) -> float | None:
    """The smallest value that exists in nature: absolute zero, no negative viscosity.

    Returns: [that unit], None where there is no such limit.

    >>> round(least_of("F"), 2), least_of("cSt"), least_of("mm")
    (-459.67, 0.0, None)
    """
    kind = KIND_OF[unit]
    if kind == TEMPERATURE:
        return _from_celsius(-_ZERO_C_IN_K, unit)
    return 0.0 if kind == VISCOSITY else None
