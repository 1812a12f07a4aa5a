"""The shop's stock list as a spreadsheet has it: its table, what its columns hold, the parts in it."""
