"""The way in: from the water of the bag to the water of the container."""
