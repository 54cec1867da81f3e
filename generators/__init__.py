"""sumpwright: the oil system of a performance engine, from a parameter file to parts that fit."""

__version__ = "0.1.0"
