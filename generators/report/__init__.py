"""What a run found, for programs and for people."""
