"""The calculations around the job, each described once: what goes in, what comes out, its rules, its working."""
