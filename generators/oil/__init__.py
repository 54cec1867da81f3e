"""What oil does by itself: where its surface settles in a vessel and how that swings, what a mouth under it needs, and how it passes
a one-way gate. Arithmetic only."""
