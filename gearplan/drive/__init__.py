"""The physics of one motorcycle, from engine to chain to a lap: pure functions on SI floats and numpy arrays."""
