"""The Bike page."""
