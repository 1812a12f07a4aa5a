"""One set on one bike: its numbers, fit, strength and findings, the grid of sets, and how each number comes about."""
