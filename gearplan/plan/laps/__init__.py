"""Many sets on one circuit: ranked, told apart, compared, and read from a centre line."""
