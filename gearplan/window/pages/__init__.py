"""The pages of the window, one file each."""
