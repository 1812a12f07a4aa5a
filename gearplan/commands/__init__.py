"""One module for each command; each has `add(commands)`, which tells the parser of it."""

#: Each is a module of this folder, imported when it is asked for: most need what the others do without.
COMMANDS = (
    "numbers",
    "choices",
    "lap",
    "season",
    "board",
    "book",
    "sessions",
    "customer",
    "log",
    "sheet",
    "jobs",
    "bikes",
    "picture",
)
