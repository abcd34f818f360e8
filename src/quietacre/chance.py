"""Points of the normal error that a stated ± rests on: the one place where each is written.

``CIRCULAR_90`` and ``CIRCULAR_95`` are the radii about a point that hold 90 % and 95 % of errors,
in standard deviations of one axis ("Geospatial Positioning Accuracy Standards, Part 3",
FGDC-STD-007.3-1998, Federal Geographic Data Committee).
"""

#: 95 %, two-sided; from a table of the normal distribution, computed by any library.
Z95 = 1.959963984540054
CIRCULAR_90, CIRCULAR_95 = 2.1460, 2.4477
