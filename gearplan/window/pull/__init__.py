"""The Pull page."""
