"""A fitting job: its steps, readings, parts, sign-off and history."""
