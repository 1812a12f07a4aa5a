"""The steps of a fitting job in working order: what applies, what is read, which target it has."""
