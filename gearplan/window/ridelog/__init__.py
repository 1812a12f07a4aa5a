"""The Ride log page: finding and evidence, laps, own lap, columns, history."""
