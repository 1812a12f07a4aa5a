"""The decisions: one evaluated set, its findings, the grid, the comparison. No Qt here."""
