"""What the vehicle does to the oil: a lap as logged, and every steady acceleration that it can pull."""
