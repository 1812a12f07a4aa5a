"""One set on one bike: its numbers, strength and findings, doubts, the grid, and how each number comes about."""
