"""Reading a recorded ride from its file."""
