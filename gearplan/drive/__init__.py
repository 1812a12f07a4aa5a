"""The physics of the final drive: pure functions on SI floats and numpy arrays."""
