"""How a number of one set comes about: the formula and what was put into it."""
