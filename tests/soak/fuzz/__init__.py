"""Job files that nobody wrote, given to everything that reads one.

made.py makes them, taken.py gives them to `calc` and watches, any_file.py has hypothesis choose, guided.py lets coverage choose, and
others.py does the same to all other inputs.
"""
