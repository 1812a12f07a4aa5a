"""The handbook in a window of its own, beside the work."""
