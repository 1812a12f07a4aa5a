"""The Ride log page."""
