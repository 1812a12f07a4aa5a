"""The Choices page: wishes, where to search, the short list and what dropped out."""
