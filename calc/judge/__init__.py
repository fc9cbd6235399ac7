"""From a job to its findings: the one place where readings, settings, doubt and rules come together.

Order of the work: `settings` (what the file says and what stands in for what is missing) -> `event` (each reading) ->
`unit` (causes and correction of a unit) -> `across` (what units share) -> `suspect` (mistakes of the hand; it changes no
number) -> `assess` (the findings).
"""
