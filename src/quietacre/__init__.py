"""True acres, vine strips, amounts and the year for a wildlife property.

The import order is the architecture; a module imports only from those to its
left::

    units, errors, model, settings, workweek, shipped
        -> intake -> acreage -> boundary -> strip | need | year -> page | export
        -> build -> commands -> cli

Nothing heavy is imported here, so that ``quietacre --help`` answers at once.
"""

__version__ = "0.1.0"
