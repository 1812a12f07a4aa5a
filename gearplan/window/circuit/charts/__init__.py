"""What is drawn on the Circuit page."""
