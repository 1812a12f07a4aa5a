"""The motorcycle in motion: thrust, load, limits, times; one machine, many at once, many versions of one."""
