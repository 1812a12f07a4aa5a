"""The Customer page: figures with their pictures, pinned sets, the page to take home."""
