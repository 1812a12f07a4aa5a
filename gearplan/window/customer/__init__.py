"""The Customer page."""
