"""Solids, meshes and flat patterns into files."""
