"""The Circuit page."""
