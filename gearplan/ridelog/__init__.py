"""Recorded rides: reading them, learning the bike from them, turning laps into a circuit."""
