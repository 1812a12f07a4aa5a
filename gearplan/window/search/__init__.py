"""Where is searched: the ranges and the stock list that the Choices and the Circuit page share."""
