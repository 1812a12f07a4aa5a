"""The set bar above the pages: sliders, verdict, invitation; one row where nothing is tried."""
