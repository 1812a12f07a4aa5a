"""Many sets on one circuit: ranked, told apart and compared."""
