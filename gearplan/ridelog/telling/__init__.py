"""What a ride tells, put together: in one value, in words, as offers and evidence."""
