"""Sheets of paper and what is drawn on them, in mm from the lower left corner; written as PDF."""
