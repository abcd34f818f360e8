"""A small invented place for tests: one square of ground, and settings and a log of the test's own."""

SQUARE = (
    '{"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":'
    '{"type":"Polygon","coordinates":[[[-86.3,33.2],[-86.299,33.2],[-86.299,33.201],[-86.3,33.2]]]}}]}'
)


def write_place(home, settings, log):
    """Write a folder whose ground is ``h.geojson``; make it where it is not there."""
    home.mkdir(exist_ok=True)
    (home / "property.toml").write_text(settings)
    (home / "h.geojson").write_text(SQUARE)
    (home / "log.csv").write_text(log)
    return home
