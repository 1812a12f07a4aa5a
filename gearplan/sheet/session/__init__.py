"""The sheet on which a day's sessions are written down by hand."""
