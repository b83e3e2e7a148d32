"""The shelf drawn: one tile for each fluid, with its sight glass beside its words."""

from collections.abc import Sequence
from gettext import gettext as _

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QEnterEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from shopdesk.ui.presenters.shelf import Tile
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, GAP, RADIUS, TextRole
from shopdesk.ui.widgets.sight_glass import draw_tube
from shopdesk.ui.widgets.state_mark import State, badge_size, draw_badge

_WIDTH, _HEIGHT = 214, 108
_TUBE, _PAD = 24, 10
_ALONG = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
_OPEN = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class ShelfTile(QWidget):
    """One fluid. A click opens it; the shelf has the keyboard and says on which tile it is."""

    opened = Signal(int)

    def __init__(self, look: Look, tile: Tile, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._tile = tile
        self._hover = False
        self._marked = False
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.set_tile(tile)

    @property
    def tile(self) -> Tile:
        """What it shows."""
        return self._tile

    def set_tile(self, tile: Tile) -> None:
        """Show another state of the fluid."""
        self._tile = tile
        self.setAccessibleName(tile.words())
        self.update()

    def sizeHint(self) -> QSize:
        """Room for the tube, two lines of name, the quantity and how it stands."""
        return QSize(self._look.px(_WIDTH), self._look.px(_HEIGHT))

    def minimumSizeHint(self) -> QSize:
        """A tile keeps its size."""
        return self.sizeHint()

    def enterEvent(self, _event: QEnterEvent) -> None:
        """Show that it can be opened."""
        self._hover = True
        self.update()

    def leaveEvent(self, _event: QEvent) -> None:
        """Show it plainly again."""
        self._hover = False
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """A click opens it."""
        if event.button() is Qt.MouseButton.LeftButton and self.rect().contains(event.position().toPoint()):
            self.opened.emit(self._tile.glass.item_id)

    @property
    def marked(self) -> bool:
        """Whether the keyboard is on it."""
        return self._marked

    def mark(self, marked: bool) -> None:
        """Show whether the keyboard is on it."""
        self._marked = marked
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the tile."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look, pad = self._look, self._look.px(_PAD)
        self._draw_ground(painter)
        tube = QRectF(pad, pad, look.px(_TUBE), self.height() - 2 * pad)
        draw_tube(painter, look, tube, self._tile.glass.full, self._tile.glass.mark)
        left = tube.right() + look.px(16)
        self._draw_words(painter, QRectF(left, pad - 2, self.width() - left - pad, tube.height() + 4))
        painter.end()

    def _draw_ground(self, painter: QPainter) -> None:
        look = self._look
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        painter.setPen(QPen(look.colour("accent" if self._marked else "line"), self._edge()))
        painter.setBrush(look.colour("accent_soft" if self._hover else "surface"))
        painter.drawRoundedRect(box, RADIUS, RADIUS)

    def _edge(self) -> float:
        return float(FOCUS_RING) if self._marked else 1.0

    def _draw_words(self, painter: QPainter, box: QRectF) -> None:
        look, glass = self._look, self._tile.glass
        flags = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        painter.setFont(look.font(TextRole.BODY, strong=True))
        painter.setPen(look.colour("ink"))
        line = painter.fontMetrics().height()
        name = QRectF(box.left(), box.top(), box.width(), line)
        shown = painter.fontMetrics().elidedText(glass.name, Qt.TextElideMode.ElideRight, int(box.width()))
        painter.drawText(name, flags, shown)
        painter.setFont(look.font(TextRole.BIG))
        figure = QRectF(box.left(), name.bottom() + look.px(2), box.width(), painter.fontMetrics().height())
        painter.drawText(figure, flags, glass.figure)
        painter.setFont(look.font(TextRole.HELP))
        painter.setPen(look.colour("ink2"))
        beneath = QRectF(box.left(), figure.bottom(), box.width(), painter.fontMetrics().height())
        painter.drawText(beneath, flags, glass.mark_words)
        self._draw_state(painter, QRectF(box.left(), beneath.bottom(), box.width(), box.bottom()))

    def _draw_state(self, painter: QPainter, box: QRectF) -> None:
        if not self._tile.word:
            return
        state = State(self._tile.mark)
        size = badge_size(self._look, state, self._tile.word, self._look.font(TextRole.HELP, strong=True))
        top = self.height() - self._look.px(_PAD) - size.height() + self._look.px(3)
        width = min(float(size.width()), box.width())
        draw_badge(painter, self._look, QRectF(box.left(), top, width, size.height()), state, self._tile.word)


class Shelf(QWidget):
    """Tiles in as many columns as there is room for. The arrow keys go along them, Enter opens one."""

    opened = Signal(int)

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look = look
        self._at = 0
        self._columns = 0
        self._tiles: list[ShelfTile] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(look.px(GAP))
        look.changed.connect(self._look_changed)
        self._hold(0)

    @property
    def tiles(self) -> list[ShelfTile]:
        """The tiles in the order of the shelf."""
        return self._tiles

    def show_tiles(self, tiles: Sequence[Tile]) -> None:
        """Show these fluids; the keyboard stays on the fluid it was on."""
        stay = self._tiles[self._at].tile.glass.item_id if self._tiles else None
        while len(self._tiles) > len(tiles):
            gone = self._tiles.pop()
            self._grid.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for number, tile in enumerate(tiles):
            if number == len(self._tiles):
                self._add(tile)
            self._tiles[number].set_tile(tile)
        self._columns = 0
        self._arrange()
        ids = [tile.glass.item_id for tile in tiles]
        self._hold(ids.index(stay) if stay in ids else 0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take another number of columns when the width asks for it."""
        super().resizeEvent(event)
        self._arrange()

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show where the keyboard is."""
        super().focusInEvent(event)
        self._hold(self._at)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Show that the keyboard is elsewhere."""
        super().focusOutEvent(event)
        self._hold(self._at)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens, the arrows go along, up and down."""
        key = Qt.Key(event.key())
        plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        steps = {**_ALONG, Qt.Key.Key_Up: -self._columns, Qt.Key.Key_Down: self._columns}
        if plain and key in _OPEN and self._tiles:
            self.opened.emit(self._tiles[self._at].tile.glass.item_id)
        elif plain and key in steps:
            if 0 <= self._at + steps[key] < len(self._tiles):
                self._hold(self._at + steps[key])
        else:
            super().keyPressEvent(event)

    def _add(self, tile: Tile) -> None:
        made = ShelfTile(self._look, tile, self)
        made.opened.connect(self.opened)
        self._tiles.append(made)

    def _hold(self, at: int) -> None:
        self._at = at
        for number, tile in enumerate(self._tiles):
            tile.mark(number == at and self.hasFocus())
        words = self._tiles[at].tile.words() if self._tiles else _("nothing")
        self.setAccessibleName(_("On the shelf: {fluid}").format(fluid=words))

    def _arrange(self) -> None:
        room = self.width() + self._grid.spacing()
        columns = max(1, room // (self._look.px(_WIDTH) + self._grid.spacing()))
        if columns == self._columns:
            return
        for number in range(max(columns, self._columns)):
            self._grid.setColumnStretch(number, 1 if number < columns else 0)
        self._columns = columns
        for number, tile in enumerate(self._tiles):
            self._grid.addWidget(tile, number // columns, number % columns)
            tile.show()

    def _look_changed(self) -> None:
        self._columns = 0
        for tile in self._tiles:
            tile.updateGeometry()
        self._arrange()
