"""What the window works on, its undo steps, and the rows that edit it."""
