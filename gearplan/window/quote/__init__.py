"""The Quote page."""
