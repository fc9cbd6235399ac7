"""Planning of the job: in which order things are done, how long they take, and when."""
