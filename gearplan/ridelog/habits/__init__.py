"""How a motorcycle was ridden and what gives way: slip, shifts."""
