"""The practice engine: units with hidden faults, to be found with gauges and a flywheel.

Order of the work: `levels` (what may be wrong) -> `draw` (an `Engine` from a number, with `chance` that is the same everywhere)
-> `rig` (the engine in the cadet's hands: turn, zero, read, correct) -> `job` (the readings as a job file) -> `score` (the
cadet's answer against the truth). `earlier` reads units as another watch did, with a mistake if need be.

The rig is physics: a cam, levers, play, gauges from a zero. It knows nothing of the formulas that judge a job, so that the one
can be held against the other.
"""
