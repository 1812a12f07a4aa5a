"""What the commands print: a set's numbers and the choices, as text and as JSON."""
