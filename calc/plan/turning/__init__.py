"""The turning plan: in which order the flywheel is turned from stop to stop, and which gauge set is where.

Order of the work: `stations` (where each unit has to be visited) -> `request` (what is wanted, and where it begins) ->
`solve` (ways of working and what bounds them; it searches with `search` and `least` over the states of `circle`, `forward`
and `backward`) -> `travel` (from a way to the stops that people make) -> `timetable` (the plan).
"""
