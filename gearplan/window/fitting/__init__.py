"""The Fitting page."""
