"""The chain between its sprockets: where it runs, how tight, its force on the swingarm, its wear."""
