"""The ground of single areas of a property folder, and what lies beside them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.errors import FileProblem
from quietacre.intake.property import read_property_and_notes
from quietacre.intake.vector import ENDINGS
from quietacre.measure.choose import Files
from quietacre.measure.ground import area_ground, property_line
from quietacre.measure.mended import ground_over
from quietacre.model import SETTINGS_FILE, folded
from quietacre.plugins.load import load_plugins
from quietacre.plugins.run import readers_by_ending

if TYPE_CHECKING:
    from pathlib import Path

    import shapely

    from quietacre.measure.records import Ground
    from quietacre.settings import Area, Property


@dataclass(frozen=True)
class Place:
    """A property folder whose areas are measured one by one, as they are asked for."""

    prop: Property
    files: Files

    @classmethod
    def of(cls, folder: Path) -> Place:
        """Return the place in a folder, its settings read and nothing measured yet.

        Raises
        ------
        BadInput
            The settings cannot be used.
        """
        prop, _ = read_property_and_notes(folder)
        readers = readers_by_ending(load_plugins(prop.use).readers, ENDINGS)
        return cls(prop, Files(folder, readers))

    def area(self, name: str) -> Area:
        """Return the settings of an area.

        Raises
        ------
        FileProblem
            There is none of that name.
        """
        wanted = next((a for a in self.prop.area if folded(a.name) == folded(name)), None)
        if wanted is None:
            known = ", ".join(f"“{area.name}”" for area in self.prop.area[:12])
            raise FileProblem(
                f"there is no area “{name}”", fix=f"name one of {known or 'your areas'}",
                source=SETTINGS_FILE,
            )  # fmt: skip
        return wanted

    def ground(self, name: str) -> Ground:
        """Return the ground of an area, as a build measures it."""
        area = self.area(name)
        return ground_over(self.files, area, area_ground(self.files, area))

    def neighbors(self, name: str) -> dict[str, shapely.Geometry]:
        """Return the shapes of all other areas by their names. [deg]"""
        return {
            area.name: self.ground(area.name).shape
            for area in self.prop.area
            if folded(area.name) != folded(name)
        }

    def line(self) -> shapely.Geometry | None:
        """Return the property line, None where none is given. [deg]"""
        for area in self.prop.area:  # the line of a file of several is what no area uses
            if area.files == self.prop.property.boundary:
                self.ground(area.name)
        return property_line(self.files, self.prop)[0]
