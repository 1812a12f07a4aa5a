"""What opens, saves and prints: bikes, circuits, papers, what is kept aside, a crash."""
