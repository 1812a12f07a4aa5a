"""The Speed page: saw-tooth and engine speeds; the grid beside them is in search."""
