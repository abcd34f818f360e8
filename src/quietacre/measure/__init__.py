"""A property read and measured, before anything is planned on it."""
