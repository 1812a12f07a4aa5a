"""A field as text: what is typed with its unit, lap times, how a value is written."""
