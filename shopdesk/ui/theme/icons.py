"""Icons: the few Lucide drawings that are used (ISC licence beside them), in the colours of the look."""

from pathlib import Path

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

_SHARPNESS = 3  # drawn this much larger, so that a dense screen shows clean lines


class Icons:
    """Draws icons by name from a folder of SVG files and keeps what it drew."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._drawings: dict[str, str] = {}
        self._kept: dict[tuple[str, str, int], QIcon] = {}

    def icon(self, name: str, colour: str, size: int = 18) -> QIcon:
        """Return the drawing ``name`` in ``colour`` (#rrggbb) for ``size`` pixels.

        Raises OSError if there is no such drawing: that is a mistake in the program.
        """
        key = (name, colour, size)
        if key not in self._kept:
            self._kept[key] = QIcon(self._draw(name, colour, size))
        return self._kept[key]

    def _draw(self, name: str, colour: str, size: int) -> QPixmap:
        if name not in self._drawings:
            self._drawings[name] = (self._folder / f"{name}.svg").read_text(encoding="utf-8")
        picture = QPixmap(size * _SHARPNESS, size * _SHARPNESS)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        drawing = self._drawings[name].replace("currentColor", colour)
        QSvgRenderer(QByteArray(drawing.encode())).render(painter, QRectF(picture.rect()))
        painter.end()
        picture.setDevicePixelRatio(_SHARPNESS)
        return picture
