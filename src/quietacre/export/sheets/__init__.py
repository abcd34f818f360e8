"""Field sheets on paper, without a browser: cover, a sheet for each piece, the year.

Everything is drawn with fpdf2 from the report and the layers. The same input gives the
same bytes: the date of the file is the day of the report, and its fonts come out of
installed packages, never from the machine.
"""

from quietacre.export.sheets.whole import field_sheets_pdf

__all__ = ["field_sheets_pdf"]
