"""Companion: an offline voice and checklist companion for charging refrigerant."""

__version__ = "0.1.0"
