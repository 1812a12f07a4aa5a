"""Where widgets stand: cards, two sides, columns, tabs beside one another, what keeps its size."""
