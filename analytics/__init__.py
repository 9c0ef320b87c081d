"""Tideworn's analysis: from a fleet's records to the boats at risk and the parts budget."""

__version__ = "0.1.0"
