"""From the line of a track to a circuit: files of points, the line within the track, its sections."""
