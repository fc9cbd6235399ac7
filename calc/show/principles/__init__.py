"""How it works: the pictures, tables and numbers of the pages that explain the pump, made from one unit of the demo.

Each part is Markdown that a page includes. The words around it stand in the page; every number is computed here.
"""

from __future__ import annotations

from calc.show.principles import backlash, doubt, events, fuel_index, moves
from calc.show.principles.example import example_of


def parts(source: str, unit: int) -> dict[str, str]:
    """Every part by name.

    Parameters: source: text of a job file that has a lift table; unit: the unit that serves as example, as found.
    """
    given = example_of(source, unit)
    return {
        "what-opens-when": events.what_opens_when(given),
        "slope": events.slope(given),
        "steep-and-flat": events.steep_and_flat(given),
        "same-angle-two-causes": moves.same_angle_two_causes(given),
        "what-each-moves": moves.what_each_moves(given),
        "fuel-index": fuel_index.line(given),
        "backlash": backlash.loop(given),
        "question": doubt.question(given),
        "few-readings": doubt.few_readings(),
        "normal": doubt.normal(),
        "probability": doubt.probability(given),
        "budget": doubt.where_it_comes_from(given),
        "repeats": doubt.repeats(given),
        "half-degree": doubt.half_degree(given),
        "scales": doubt.scales(given),
    }
