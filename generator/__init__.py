"""Scalewright: scales and technique, built, fitted to an instrument, engraved."""

__version__ = "0.1.0"
