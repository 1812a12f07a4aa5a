"""The circuit's page and the pit board on paper."""
