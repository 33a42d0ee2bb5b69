"""The week that keeps a container well: food, water, light, readings, and young to give away."""
