"""One lap of a circuit ridden by many sets at once; `lap.py` is the door to the tables, steps and rules beside it."""
