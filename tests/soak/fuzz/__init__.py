"""Job files that nobody wrote, given to everything that reads one.

made.py makes them, taken.py gives them to `calc` and watches. In any_file.py hypothesis chooses, in guided.py coverage does.
others.py does the same to all other inputs.
"""
