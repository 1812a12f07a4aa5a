"""The quote on paper: sets side by side, sums, signature."""
