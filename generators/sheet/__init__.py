"""One description of a sheet piece gives its folded or rolled solid and its flat pattern."""
