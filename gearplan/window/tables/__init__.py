"""Tables of the shop's: what their columns hold, asked of a person, and the stock list edited as a table."""
