"""One module for each command; each has `add(commands)`, which tells the parser of it."""
