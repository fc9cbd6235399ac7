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

CALCULATIONS: dict[str, Calculation] = {
    each.name: each
    for each in (
        fuel_oil.VISCOSITY,
        fuel_oil.DENSITY,
        fuel_oil.IGNITION,
        fuel_oil.ENERGY,
        fuel_oil.BLEND,
        changing_fuel.DILUTION,
        changing_fuel.COOLING,
        changing_fuel.CHANGE_OVER,
        top_dead_centre.TDC,
        cam.CAM_SURVEY,
        quantity.FUEL_INDEX,
        quantity.INJECTION,
        trending.TREND,
        next_check.DUE,
        tightening.TORQUE,
        tightening.ELONGATION,
        tightening.BOLT_ORDER,
        tightening.CONVERT,
        doubt.REPEATS,
        doubt.BUDGET,
        trial.TRIAL,
        two_points.VALVE_RATIO,
        two_points.CAM_SLOPE,
        thread.THREAD,
    )
}
