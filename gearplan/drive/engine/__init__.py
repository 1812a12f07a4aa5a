"""The engine by itself: the shape of a curve known by its peaks, correction to standard air."""
