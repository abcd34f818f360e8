"""What a hand does to pieces of ground: split, cut, join, clip, follow a neighbor, straighten."""
