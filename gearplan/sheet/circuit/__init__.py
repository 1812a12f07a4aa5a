"""The page of a circuit."""
