"""The quote on paper."""
