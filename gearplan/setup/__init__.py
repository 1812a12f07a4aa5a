"""A bike as entered turned into what the physics needs: what is assumed, what limits, and how sure each is."""
