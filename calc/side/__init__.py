"""Side calculations: small questions beside the job, each with its own described inputs, its results and what to say of them.

One shape for all (`calculation`): a record of inputs, a pure function to an `Answer`, and where its inputs stand in a job.
"""
