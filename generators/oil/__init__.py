"""What oil does by itself: where it stands in a vessel at rest, and how it passes a one-way gate. Arithmetic only."""
