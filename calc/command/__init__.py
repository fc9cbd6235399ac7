"""The command line: the only part of `calc` that reads files, writes to a terminal and ends with a status."""
