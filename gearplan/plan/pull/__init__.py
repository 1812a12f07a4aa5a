"""Thrust, acceleration, shifts and top speed of one set."""
