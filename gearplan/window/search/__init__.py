"""Where is searched: the grid of sets, and the ranges and the stock list that several pages share."""
