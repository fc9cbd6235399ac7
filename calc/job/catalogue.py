"""What is moved for the job, and what is confirmed in it: the lists that a new job starts from.

They are common practice, no source, unless an entry says otherwise; the engine's manual and the ship's permit system
decide. A list shows only what this engine has (`Arrangement`), and people add what is missing in it.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc.job.steps import CLOSE, CORRECTION, FOUND, LEFT, RECORD, RESTORE, SAFE, TURNING

# What an engine can have, by the key of its field in `Arrangement`; the lists below ask for them by these.
REVERSIBLE, VARIABLE_TIMING, FUEL_OFFSET, SHUT_DOWN = "reversible", "variable_timing", "fuel_offset", "shut_down_device"
LIFT_OFF_GEAR, HEATED_FUEL, SECOND_FUEL, LUBRICATORS = "lift_off_gear", "heated_fuel", "second_fuel", "camshaft_lubricators"

# The order in which things are closed before the engine can be ready.
PHASES = {
    "people": "People, tools and gauges out",
    "pumps": "Pumps whole again",
    "timing": "Timing and stopping devices back",
    "fuel": "Fuel back",
    "turning": "Turning gear out, cocks shut",
    "air": "Air and control back",
    "proof": "Prove it before the ship relies on it",
}


@dataclass(frozen=True, slots=True)
class Position:
    """A thing that is moved for the job: code, name, what to write down, its place in closing, and what must be fitted."""

    code: str
    label: str
    note: str
    phase: str
    needs: str = ""


POSITIONS = (
    Position("control_position", "control of the engine", "Bridge, control room or engine side.", "air"),
    Position("starting_air", "starting-air valves", "Each valve: open or shut.", "air"),
    Position("starting_air_vents", "starting-air vents and drains", "Each one: open or shut.", "air"),
    Position("control_air", "control and safety air", "Each valve: open or shut, and the pressure.", "air"),
    Position("turning_gear", "turning gear and its interlock", "In or out, interlock as found.", "turning"),
    Position("indicator_cocks", "indicator cocks", "Open or shut.", "turning"),
    Position("alarms", "alarms and stops that are blocked", "Which, and how.", "air"),
    Position("fuel_pumps", "fuel supply pumps", "Running or stopped, pressure, which one stands by.", "fuel"),
    Position("fuel_inlets", "fuel inlet valves of the units", "Each one: open or shut.", "fuel"),
    Position("fuel_outlets", "fuel outlet valves of the units", "Each one: open or shut.", "fuel"),
    Position("fuel_drains", "fuel drains and vents", "Each one: open or shut.", "fuel"),
    Position("fuel_heating", "fuel heating and pipe heating", "On or off, set temperature.", "fuel", HEATED_FUEL),
    Position("fuel_in_use", "change-over valve of the fuel", "Which fuel is in use.", "fuel", SECOND_FUEL),
    Position("fuel_index", "fuel index of every unit", "Index of each unit, and how it is held for the check.", "timing"),
    Position("index_linkage", "linkage between governor and pumps", "Coupled or free, and at which mark.", "timing"),
    Position(
        "variable_timing",
        "variable injection timing",
        "On or off, setting, how it is held for the check.",
        "timing",
        VARIABLE_TIMING,
    ),
    Position("fuel_offset", "timing offset for the fuel in use", "The setting.", "timing", FUEL_OFFSET),
    Position(
        "shut_down_device",
        "shut-down device of the pumps",
        "How it stands, and how it is held for the check.",
        "timing",
        SHUT_DOWN,
    ),
    Position("reversing_gear", "reversing gear", "Ahead or astern.", "timing", REVERSIBLE),
    Position("lift_off_gear", "lift-off gear of the rollers", "Each unit: in service or lifted.", "pumps", LIFT_OFF_GEAR),
    Position("valve_springs", "springs of suction and spill valves", "In or out, marked by unit and valve.", "pumps"),
    Position("push_rods", "push rods", "Length of each rod, and its mark, before anything is turned.", "pumps"),
    Position("lock_nuts", "lock nuts of the push rods", "Tight or loose, and their marks.", "pumps"),
    Position("covers", "covers of pumps and camshaft", "On or off, and where they lie.", "pumps"),
    Position("gauges", "dial gauges and holders", "How many are fitted, and where.", "people"),
    Position("tools", "tools, rags and loose parts", "Count them in.", "people"),
)


@dataclass(frozen=True, slots=True)
class Confirmation:
    """One thing that a person says is done: code, the step that asks for it, words, signal word after ISO 3864-2.

    needs: what the engine must have. phase: its place in closing, for what the engine needs before it can be ready.
    """

    code: str
    step: str
    label: str
    signal: str = ""
    needs: str = ""
    phase: str = ""


CONFIRMATIONS = (
    Confirmation("manual", SAFE, "The engine's own manual for this job is at hand and read. It comes before this list."),
    Confirmation("master", SAFE, "The master has given permission."),
    Confirmation("port", SAFE, "The port has given permission, or the ship is not in port."),
    Confirmation("permit", SAFE, "The permit to work is open."),
    Confirmation("starting_air", SAFE, "Starting air is shut and vented.", "danger"),
    Confirmation("turning_gear", SAFE, "The turning gear is engaged and its interlock proved.", "danger"),
    Confirmation("cocks", SAFE, "The indicator cocks are open.", "danger"),
    Confirmation("shaft_drag", SAFE, "No current can turn the shaft. Someone watches it.", "danger"),
    Confirmation("lubricating_oil", SAFE, "The lubricating oil is running.", "caution"),
    Confirmation("fuel_shut", SAFE, "The fuel is shut, its pressure is off, and it is drained.", "danger"),
    Confirmation("hot", SAFE, "Everyone knows: fuel and surfaces are hot.", "warning"),
    Confirmation("jet", SAFE, "Everyone knows: a fuel jet goes through skin. Such a wound needs a surgeon at once.", "danger"),
    Confirmation(
        "springs_energy", SAFE, "Everyone knows: valve springs hold energy. The manual says how to release them.", "warning"
    ),
    Confirmation("crankcase", SAFE, "The crankcase stays shut, or has its own permit as an enclosed space.", "danger"),
    Confirmation(
        "drill", TURNING, "The drill is agreed: count everyone, hands clear, said aloud, before every move.", "danger"
    ),
    Confirmation("one_voice", TURNING, "One person commands the turning. Nobody else touches the turning gear.", "danger"),
    Confirmation("index_held_found", FOUND, "The fuel index is held at the index of the check.", "notice"),
    Confirmation("springs_out_found", FOUND, "The valve springs are as the manual asks for the check.", "notice"),
    Confirmation("drill_found", FOUND, "Before every move: all counted, hands clear, said aloud.", "danger"),
    Confirmation("rods_measured", CORRECTION, "Every rod's length is written down before anyone turns it.", "notice"),
    Confirmation("index_held_left", LEFT, "The fuel index is held at the index of the check.", "notice"),
    Confirmation(
        "lock_nuts", LEFT, "Every lock nut is tight, with the maker's torque, before it is read.", "warning", phase="pumps"
    ),
    Confirmation("drill_left", LEFT, "Before every move: all counted, hands clear, said aloud.", "danger"),
    Confirmation("clean", CLOSE, "Pumps and casings are clean. Nothing is left inside.", "warning", phase="pumps"),
    Confirmation("springs_in", CLOSE, "The valve springs are in, each in its own place.", "warning", phase="pumps"),
    Confirmation("tightened", CLOSE, "Everything is tightened in stages, with the maker's torques.", "warning", phase="pumps"),
    Confirmation("counted_out", CLOSE, "Gauges, tools and rags are counted out.", "warning", phase="people"),
    Confirmation("vented", CLOSE, "The fuel is on and vented as this engine needs it.", "warning", phase="fuel"),
    Confirmation("leak_test", CLOSE, "The leak test is done: no leak.", "danger", phase="fuel"),
    Confirmation(
        "heating_on", CLOSE, "The fuel has its temperature and viscosity again.", "caution", HEATED_FUEL, phase="fuel"
    ),
    Confirmation("lubricators", CLOSE, "The lubricators deliver.", "caution", LUBRICATORS, phase="fuel"),
    Confirmation("gear_out", RESTORE, "The turning gear is out and its interlock proved.", "danger", phase="turning"),
    Confirmation("slow_start", RESTORE, "The engine was started slowly, with someone at the stop.", "danger", phase="proof"),
    Confirmation("stop_proved", RESTORE, "The engine stops at index 0.", "danger", phase="proof"),
    Confirmation("astern_proved", RESTORE, "The engine was proved astern as well.", "warning", REVERSIBLE, phase="proof"),
    Confirmation(
        "load_watched", RESTORE, "Load and temperatures were watched while the load went up.", "caution", phase="proof"
    ),
)

# What only a moved cam or camshaft drive asks for.
CAM_CONFIRMATIONS = (
    Confirmation("cam_procedure", CORRECTION, "The maker's procedure for the cam is at hand, and class has agreed.", "warning"),
    Confirmation("cam_other_timing", CORRECTION, "Exhaust, starting-air and lubricator timing are checked as well.", "warning"),
)

# What is asked only where the timing or a part was changed. MARPOL Annex VI, NOx Technical Code: such a change belongs in
# the engine's record book of parameters (named from memory; the clause is not given).
CHANGE_CONFIRMATIONS = (
    Confirmation("record_book", RECORD, "The change is entered in the engine's record book of parameters.", "notice"),
)

EVERY_CONFIRMATION = (*CONFIRMATIONS, *CAM_CONFIRMATIONS, *CHANGE_CONFIRMATIONS)

INSPECTED = {
    "cam": "cam",
    "roller": "roller",
    "suction_valve": "suction valve and its seat",
    "spill_valve": "spill valve and its seat",
    "contact_faces": "contact faces of rods and rockers",
    "plunger": "plunger and barrel",
}
