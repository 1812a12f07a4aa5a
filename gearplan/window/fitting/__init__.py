"""The Fitting page: parts, steps, service data, job card, history."""
