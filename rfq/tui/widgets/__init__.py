"""Widgets of our own that no library has."""
