"""The Choices page."""
