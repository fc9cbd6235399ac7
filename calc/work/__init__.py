"""The job as work: what is still to do in each step, whether it is complete, what to close before the engine can be ready."""
