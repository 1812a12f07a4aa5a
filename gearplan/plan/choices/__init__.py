"""From wishes to a short list of sets."""
