"""What the shop offers: proposals kept with the bike, and what they cost."""
