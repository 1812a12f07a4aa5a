"""The sections of a circuit as a person edits them: changed, as a table of cells, pasted from another table."""
