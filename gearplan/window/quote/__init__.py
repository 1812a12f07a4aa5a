"""The Quote page: kept sets side by side, what each needs, the sums."""
