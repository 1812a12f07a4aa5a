"""What a recorded ride tells of the bike, how sure it is, and what it offers to take over."""
