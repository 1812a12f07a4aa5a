"""The fitting sheet and the label: what they hold and how they are drawn."""
