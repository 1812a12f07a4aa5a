"""The handbook: chapters by task, shown by the window and made into pages for a browser."""
