"""What a customer is told of a proposed set."""
