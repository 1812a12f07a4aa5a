"""The charts of the window, one file each: made once, then given new data."""
