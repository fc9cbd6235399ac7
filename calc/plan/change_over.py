"""Changing from one fuel to another: the old fuel is flushed out of a stirred volume by the new one.

Model: what flows in mixes at once with all that is between the change-over valve and the pumps. Real piping does worse
(dead legs) and better (plug flow); the model says so little that its times are a plan, not a proof.
Source: balance of a stirred tank, dc/dt = (Q / V) (c_in - c).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

from calc.fuel.blend import blended_viscosity
from calc.fuel.viscosity import ViscosityLine


def volumes_to_reach(start: float, feed: float, target: float) -> float | None:
    """How many times the stirred volume must flow through until its content has come from start to target.

    Formula: ln[(start - feed) / (target - feed)]. Parameters: any one unit, such as % sulphur. Returns: [1]; 0 where the
    target is the start; None where it is never reached: beyond the feed, equal to it, or on the far side of the start.

    >>> round(volumes_to_reach(0.50, 0.08, 0.10), 5), volumes_to_reach(0.5, 0.1, 0.1), volumes_to_reach(0.5, 0.1, 0.5)
    (3.04452, None, 0.0)
    """
    if target == start:
        return 0.0
    if not min(start, feed) < target < max(start, feed):
        return None
    # Two logarithms, since a quotient of a large and a tiny difference would leave the range of a double.
    return log(abs(start - feed)) - log(abs(target - feed))


def mixed(start: float, feed: float, volumes: float) -> float:
    """What the volume holds after so many of itself have flowed through.

    Formula: feed + (start - feed) exp(-volumes). Parameters: start, feed [any one unit], volumes [1, not negative].
    Returns: that unit.

    >>> round(mixed(3.5, 0.08, 3.0), 4)
    0.2503
    """
    return feed + (start - feed) * exp(-volumes)


def steepest_c_per_min(volume_m3: float, flow_m3_h: float, start_c: float, feed_c: float) -> float:
    """Fastest change of temperature, which is the one at the start. Formula: (Q / V) |start - feed| / 60.

    Parameters: [m3], [m3/h], [degC]. Returns: [degC/min, not negative].

    >>> steepest_c_per_min(8.0, 1.5, 130.0, 40.0)
    0.28125
    """
    return flow_m3_h / volume_m3 * abs(start_c - feed_c) / 60.0


def largest_flow_m3_h(volume_m3: float, start_c: float, feed_c: float, limit_c_per_min: float) -> float | None:
    """The flow at which the fastest change is just the limit. Formula: 60 x limit x V / |start - feed|.

    Parameters: [m3], [degC], [degC/min, above 0]. Returns: [m3/h], None where nothing limits it (equal temperatures).

    >>> round(largest_flow_m3_h(8.0, 130.0, 40.0, 2.0), 5)
    10.66667
    """
    return None if start_c == feed_c else 60.0 * limit_c_per_min * volume_m3 / abs(start_c - feed_c)


def least_minutes(start_c: float, feed_c: float, limit_c_per_min: float) -> float:
    """Shortest time from one temperature to the other, on a straight ramp at the limit.

    Formula: |start - feed| / limit. Parameters: [degC], [degC/min, above 0]. Returns: [min].

    >>> least_minutes(130.0, 40.0, 2.0)
    45.0
    """
    return abs(start_c - feed_c) / limit_c_per_min


@dataclass(frozen=True, slots=True)
class Fuel:
    """A fuel of the change-over: temperature [degC], sulphur [%], viscosity line; None where not known."""

    temperature_c: float | None = None
    sulphur_percent: float | None = None
    viscosity: ViscosityLine | None = None


@dataclass(frozen=True, slots=True)
class Moment:
    """The fuel at the pumps some hours after the change-over valve was turned."""

    hours: float
    old_percent: float
    temperature_c: float | None
    sulphur_percent: float | None
    viscosity_mm2_s: float | None


def moment(old: Fuel, new: Fuel, volume_m3: float, flow_m3_h: float, hours: float) -> Moment:
    """The fuel at the pumps at one time: shares, sulphur and heat mix like masses; viscosity by the blending index.

    Parameters: the two fuels, [m3], [m3/h], [h]. Returns: shares [%], [degC], [%], [mm2/s]. The heater is off: the
    temperature comes from mixing alone.

    >>> found = moment(Fuel(130.0, 3.5), Fuel(40.0, 0.08), 8.0, 1.5, 16.0)
    >>> round(found.old_percent, 3), round(found.temperature_c, 2), round(found.sulphur_percent, 4)
    (4.979, 44.48, 0.2503)
    """
    volumes = flow_m3_h / volume_m3 * hours
    share = exp(-volumes)
    temperature = _mixed_known(old.temperature_c, new.temperature_c, volumes)
    sulphur = _mixed_known(old.sulphur_percent, new.sulphur_percent, volumes)
    viscosity = None
    if temperature is not None and old.viscosity is not None and new.viscosity is not None:
        viscosity = _mixture_at(old.viscosity, new.viscosity, share, temperature)
    return Moment(hours, 100.0 * share, temperature, sulphur, viscosity)


def _mixed_known(start: float | None, feed: float | None, volumes: float) -> float | None:
    return None if start is None or feed is None else mixed(start, feed, volumes)


def _mixture_at(old: ViscosityLine, new: ViscosityLine, share: float, temperature_c: float) -> float | None:
    thick, thin = old.at(temperature_c), new.at(temperature_c)
    if thick is None or thin is None:
        return None
    # A share that has vanished would still be weighed against a viscosity; both are above 0 here.
    return blended_viscosity([share, 1.0 - share], [thick, thin]) if 0.0 < share < 1.0 else (thick if share else thin)


def timetable(old: Fuel, new: Fuel, volume_m3: float, flow_m3_h: float, hours: Sequence[float]) -> list[Moment]:
    """The fuel at the pumps at several times. Parameters: as for one moment, [m3], [m3/h], times [h]. Returns: moments.

    >>> [round(each.old_percent, 1) for each in timetable(Fuel(), Fuel(), 8.0, 8.0, [0.0, 1.0, 2.0])]
    [100.0, 36.8, 13.5]
    """
    return [moment(old, new, volume_m3, flow_m3_h, each) for each in hours]
