"""The Pull page: thrust, sprints, the engine's curve and what moves the motorcycle."""
