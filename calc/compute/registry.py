"""All calculations by name: the one list that the command line, the reference page and the forms come from."""

from __future__ import annotations

from calc.compute import (
    cam,
    changing_fuel,
    doubt,
    fuel_oil,
    next_check,
    quantity,
    thread,
    tightening,
    top_dead_centre,
    trending,
    trial,
    two_points,
)
from calc.compute.answer import Calculation

GROUPS: dict[str, tuple[Calculation, ...]] = {
    "Fuel": (fuel_oil.VISCOSITY, fuel_oil.DENSITY, fuel_oil.IGNITION, fuel_oil.ENERGY, fuel_oil.BLEND),
    "Changing fuel": (changing_fuel.DILUTION, changing_fuel.COOLING, changing_fuel.CHANGE_OVER),
    "Cam and pump": (top_dead_centre.TDC, cam.CAM_SURVEY, quantity.FUEL_INDEX, quantity.INJECTION),
    "Over time": (trending.TREND, next_check.DUE),
    "Tightening and units": (tightening.TORQUE, tightening.ELONGATION, tightening.BOLT_ORDER, tightening.CONVERT),
    "Doubt": (doubt.REPEATS, doubt.BUDGET),
    "Trial and measuring": (trial.TRIAL, two_points.VALVE_RATIO, two_points.CAM_SLOPE, thread.THREAD),
}
"""The calculations around the job, each described once: what goes in, what comes out, its rules, its working. By topic."""

CALCULATIONS: dict[str, Calculation] = {each.name: each for group in GROUPS.values() for each in group}
