"""The steps of the whole job, in the order in which it is done.

Order: common practice, no source. The engine's own manual and the ship's permit system come first.
"""

from __future__ import annotations

from dataclasses import dataclass

DUE, SETTINGS, SAFE, POSITIONS, TURNING = "due", "settings", "safe", "positions", "turning"
INSPECTION, FOUND, FINDINGS, CORRECTION, LEFT = "inspection", "found", "findings", "correction", "left"
CUT_OUT, CLOSE, RESTORE, RECORD, HANDOVER = "cut-out", "close", "restore", "record", "handover"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: its code, its title, one or two sentences on what is done in it.

    confirms_last: whether what is confirmed comes after the rest of the step, and not before it. turns: whether the engine
    is turned in it, so that the spoken drill stands there. around: title of the calculations that the worksheet offers in it.
    page: the page that says how to do it, and maybe the place on it.
    """

    code: str
    title: str
    say: str
    confirms_last: bool = False
    turns: bool = False
    around: str = ""
    page: str = ""


STEPS = (
    Step(
        DUE,
        "Due, and what is needed",
        "Say why the check is due. Say what the engine has and which gauges you use.",
        around="Plan ahead",
        page="before/due.html",
    ),
    Step(
        SETTINGS,
        "Reference settings",
        "Copy the engine's own settings. No two engines share them.",
        page="before/due.html#the-engines-own-settings",
    ),
    Step(
        SAFE,
        "Make safe",
        "Get the permissions. Make the engine safe before you open anything. Each act has its own signer.",
        around="The fuel before you stop",
        page="before/make-safe.html",
    ),
    Step(
        POSITIONS,
        "Positions as found",
        "Before you move a thing, write down how it stands. Take away from the list what this engine lacks.",
        page="before/positions.html",
    ),
    Step(
        TURNING,
        "Turning plan",
        "Decide who commands the turning, and in which order the units are visited.",
        turns=True,
        page="before/turning.html",
    ),
    Step(
        INSPECTION,
        "Inspection",
        "Look at cam, roller, valves, seats and contact faces of each unit.",
        turns=True,
        around="Measure the cam",
        page="before/inspect.html",
    ),
    Step(
        FOUND,
        "Readings as found",
        "Type repeats side by side: 12.31 12.30. Type an angle as 4.5 before, or with a minus. From a gauge with a "
        "revolution counter, type turns and dial: 12t 0.31; 12t 0.30.",
        turns=True,
        page="before/read.html",
    ),
    Step(
        FINDINGS,
        "Findings",
        "Read what to do, how sure it is, and what causes it, before you touch a spanner.",
        around="Look closer before you decide",
        page="before/judge.html",
    ),
    Step(
        CORRECTION,
        "Correction",
        "Try a correction on the screen first. Then turn one flat as a trial, and compare. "
        "A unit that is within is left alone.",
        around="Trial and measuring",
        page="before/correct.html",
    ),
    Step(
        LEFT,
        "Readings as left",
        "Read every unit again that was corrected, with the lock nuts tight.",
        turns=True,
        page="before/read.html",
    ),
    Step(
        CUT_OUT,
        "Cut-out checks",
        "Prove that each unit can be cut out: index 0, and the roller lifted off.",
        turns=True,
        page="before/cut-out.html",
    ),
    Step(
        CLOSE,
        "Close up",
        "Clean, fit the springs, tighten in stages, prove that nothing leaks.",
        around="Tightening",
        page="before/close.html",
    ),
    Step(
        RESTORE,
        "Put back",
        "Put back everything that was moved. One person restores, another one checks.",
        confirms_last=True,
        page="before/restore.html",
    ),
    Step(
        RECORD,
        "Record",
        "Write down how the engine runs now. Print the record and have it signed.",
        confirms_last=True,
        page="before/after-work.html",
    ),
)

# Not a step in the job's order: it can come at any time.
ASIDE = (
    Step(
        HANDOVER,
        "Break off or hand over",
        "The list says what to close before the engine can be ready, and in what order. Take the handover page with you.",
        page="before/port.html",
    ),
)
