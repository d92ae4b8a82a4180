"""Cooling for one-off vehicles: heat, core, fans and shroud in one set of numbers."""

__version__ = "0.1.0"
