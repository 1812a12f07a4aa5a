"""The list of all bikes: the files of chosen folders, found as one types."""
