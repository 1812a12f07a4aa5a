"""Laps of a recorded ride, the circuit made of one, and the computed lap held against it."""
