"""Final-drive gearing for motorcycles. This file holds the version and imports nothing."""

__version__ = "0.1.0"
