"""How the parts stand in the vehicle, what they clear there, and what their mass does to it."""
