"""The decisions: sets and what they change, choices, laps, jobs, quotes; here findings and words. No Qt here."""
