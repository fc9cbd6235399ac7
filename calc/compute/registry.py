"""All calculations by name: the one list that the command line, the reference page and the forms come from."""

from __future__ import annotations

from calc.compute import changing_fuel, fuel_oil
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
    )
}
