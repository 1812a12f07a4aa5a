"""The season's book in the window: what is written down, found again, and nearest to today."""
