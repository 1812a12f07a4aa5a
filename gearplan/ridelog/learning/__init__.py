"""What a recorded ride tells of the bike, and how sure it is; how it is said is in telling."""
