"""Whether there is a deep pan for something to be fitted into."""


def has_deep_pan(parameters) -> bool:
    """Whether the file has a deep pan with an inside: a wet system, or a sump that is given."""
    deep = parameters.deep_pan
    return parameters.engine.lubrication == "wet" or (deep is not None and deep.sump is not None)
