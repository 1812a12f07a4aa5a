"""The page that a customer takes home."""
