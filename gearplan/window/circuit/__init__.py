"""The Circuit page: advice, ranking, sections, riders, season, book, and the lap's charts."""
