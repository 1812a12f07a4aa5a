"""The season: what was ridden where, what is nearest to today, and one set for several circuits."""
