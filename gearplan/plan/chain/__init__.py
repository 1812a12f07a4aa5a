"""Whether a chain goes on: how far the axle reaches, where links put it, how worn the chain on the bike is."""
