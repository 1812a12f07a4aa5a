"""How a field is measured: sketches with their dimensions, the words beside them, and entries from other readings."""
