"""Bike and circuit files: read, checked, written so that nothing is lost."""
