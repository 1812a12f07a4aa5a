"""What is drawn for paper and pictures; only the painter imports Qt."""
