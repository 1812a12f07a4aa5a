"""The fitting sheet."""
