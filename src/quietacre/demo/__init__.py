"""The invented sample property."""
