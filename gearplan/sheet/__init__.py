"""What is drawn for paper and pictures; what only says what stands there imports no Qt."""
