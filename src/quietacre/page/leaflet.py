"""Leaflet out of its installed package: script, style with its pictures inside, licence."""

from __future__ import annotations

import base64
import functools
import re
from importlib.metadata import files as package_files

LEAFLET = "django-js-lib-leaflet"


@functools.cache
def leaflet_parts() -> tuple[str, str, str]:
    """Return Leaflet's script, its style with pictures inside, and its licence."""
    parts = {path.name: path for path in package_files(LEAFLET) or ()}
    script = parts["leaflet.js"].read_text(encoding="utf-8")
    # the map of the minified source would be one more thing to ask for
    script = re.sub(r"//# sourceMappingURL=\S+", "", script)
    style = parts["leaflet.css"].read_text(encoding="utf-8")

    def inline(match: re.Match[str]) -> str:
        name = match.group(1).strip("'\"").rpartition("/")[2]
        if not name.endswith(".png"):
            return "none"
        data = base64.b64encode(parts[name].read_binary()).decode()
        return f"url(data:image/png;base64,{data})"

    style = re.sub(r"url\(([^)]+)\)", inline, style)
    return script, style, parts["LICENSE"].read_text(encoding="utf-8")


def leaflet_files() -> dict[str, str]:
    """Return Leaflet's script, its licence on top, and its style, by the names a page asks for."""
    script, style, licence = leaflet_parts()
    return {
        "leaflet.js": f"/*\n{licence.replace('*/', '* /')}\n*/\n{script}",
        "leaflet.css": style,
    }
