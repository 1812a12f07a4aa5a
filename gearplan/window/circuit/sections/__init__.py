"""The sections of the circuit: a table that is edited in its cells, and what is said of them."""
