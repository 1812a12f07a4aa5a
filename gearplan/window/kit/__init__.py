"""Widgets, charts and appearance that several pages share. Nothing here knows a page."""
