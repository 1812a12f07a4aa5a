"""Final-drive gearing for motorcycles. This file holds the version and imports nothing."""

__version__ = "0.1.0"
#: What is said after Ctrl+C in a command, even while it is still being loaded.
STOPPED = "gearplan: stopped"
