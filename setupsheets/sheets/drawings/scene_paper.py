"""One picture of a cut on the paper: out from the fence to the left, up from the table."""

from __future__ import annotations

from msgspec import Struct

from setupsheets.sheets.drawings import drawing as svg
from setupsheets.sheets.drawings.dimensions import Dimension
from setupsheets.sheets.drawings.paper import Paper
from setupsheets.sheets.drawings.scenes import DrawnMark, Scene

TABLE, FENCE, HEAD, BESIDE = 5.0, 7.0, 6.0, 13.0
"""How thick table and fence are drawn, the room for a heading and beside the wood, in mm."""
SHOWN = 7.0
"""How much of a cutter is drawn past the wood, in mm."""


class Labels(Struct, frozen=True):
    """Words for a scene: the part's four surfaces as they lie, empty where not told, and what it
    stands against."""

    down: str
    top: str
    against: str
    free: str
    rest: str
    cutter: str


class SceneOnPaper(Paper, frozen=True, kw_only=True):
    """A scene on the paper, out from the fence to the left and up from the table."""

    scene: Scene

    @classmethod
    def of(cls, scene: Scene, scale: float, fence: float, table: float) -> SceneOnPaper:
        """With the face of the fence at the x ``fence``, the table at the y ``table``."""
        return cls((fence, table), scale, right=-1, down=-1, scene=scene)

    @property
    def fence(self) -> float:
        """The face of the fence or stop where the part stands against it."""
        return self.origin[0]

    @property
    def table(self) -> float:
        """The top of the table."""
        return self.origin[1]

    @property
    def rest(self) -> float:
        """The face of the fence or stop: at the part, or a spacer's thickness off it."""
        return self.fence + self.scene.spacer * self.scale

    @property
    def wood_left(self) -> float:
        """How far left the wood is drawn."""
        return self.x(self.scene.width)

    @property
    def wood_top(self) -> float:
        """How far up the wood is drawn."""
        return self.y(self.scene.height)

    @property
    def opening(self) -> svg.Opening:
        """Where the wood is broken off."""
        out, up = self.scene.opening
        return None if out is None else self.x(out), None if up is None else self.y(up)

    def dimension(self, mark: DrawnMark) -> Dimension:
        """The dimension of a setting, from the edges that a rule would measure it between."""
        place = self.x if mark.level else self.y
        near, beside = self.table, min(self.table, self.y(mark.beside))
        if not mark.level:
            near = beside = self.x(mark.beside)
        ends, named = (place(mark.start), place(mark.end)), (mark.name, mark.light)
        return Dimension(*ends, mark.words, near, beside, *named)
