"""What happened on the property: the lines of its log, told by pure functions."""
