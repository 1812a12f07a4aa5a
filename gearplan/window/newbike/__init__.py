"""A new bike: what is asked first, each with where it is found, up to the first answer."""
