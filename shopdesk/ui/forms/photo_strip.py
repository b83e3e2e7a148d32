"""Pictures of a record or a vehicle: small ones in a row, one of them large, and one more to attach."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from gettext import gettext as _
from pathlib import Path

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.photos import (
    AttachPhoto,
    PhotoKept,
    PhotoKind,
    PhotoRow,
    PhotoSubject,
    WithdrawPhoto,
    read_file,
)
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.photo_words import file_kinds, kind_choices, photo_short, photo_words
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import FOCUS_RING, GAP, RADIUS_SMALL, TextRole
from shopdesk.ui.widgets.button import BigButton, Button
from shopdesk.ui.widgets.fields import TextField
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.segments import Segments

_WIDE, _HIGH = 132, 96
_LARGE = 420


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    rows: Sequence[PhotoRow]
    small: Mapping[int, bytes] = field(repr=False)


class PhotoStrip(QWidget):
    """``attached`` tells the kind of a picture that was kept, ``rebuilt`` that there are other parts to
    reach by Tab."""

    attached = Signal(str)
    rebuilt = Signal()

    def __init__(self, desk: Desk, work: AtWork, *, bay: bool = False) -> None:
        super().__init__()
        self._desk = desk
        self._work = work
        self._subject: tuple[PhotoSubject, int] | None = None
        self._small: dict[int, bytes] = {}
        self._editable = True
        self._bay = bay
        self._chosen: PhotoRow | None = None
        self._sending = Sending(desk, self)
        self.thumbs: list[Thumb] = []
        look = desk.look
        self.kind = Segments(look, _("What it shows"), kind_choices(), bay=bay)
        words = _("Add a picture")
        self.add = BigButton(look, words, icon="plus") if bay else Button(look, words, icon="plus")
        self.add.clicked.connect(self.choose)
        self.caption = TextField(look, "note", _("Caption, if any"), bay=bay)
        if bay:  # nobody writes captions in gloves
            self.caption.hide()
        self.large = LargePicture(look)
        away = _("Take it back")
        self.away = BigButton(look, away, icon="undo-2") if bay else Button(look, away, icon="undo-2")
        self.away.clicked.connect(self._ask_away)
        self.empty = PlainLabel(_("No picture yet."), TextRole.HELP, tone="ink2")
        self.error = PlainLabel("", TextRole.HELP, tone="late", wrap=True)
        self._lay_out(look)
        desk.bus.listen(self, (Topic.SERVICE,), self.refresh)

    def show_subject(self, subject: PhotoSubject, subject_id: int, *, editable: bool = True) -> None:
        """Show the pictures of a record or a vehicle."""
        if (subject, subject_id) != self._subject:
            self._subject, self._small, self._chosen = (subject, subject_id), {}, None
            self.error.hide()
        self._editable = editable
        for part in (self.kind, self.add):
            part.setVisible(editable)
        self.caption.setVisible(editable and not self._bay)
        self.refresh()

    def refresh(self) -> None:
        """Read the pictures again."""
        if self._subject is None:
            return
        subject, subject_id = self._subject
        photos, known = self._work.rooms.photos, frozenset(self._small)

        def read() -> _Read:
            rows = photos.of(subject, subject_id)
            return _Read(
                rows=rows,
                small={r.photo_id: photos.thumbnail(r.photo_id) for r in rows if r.photo_id not in known},
            )

        self._desk.background.read(self, "photos", read, self._show)

    def choose(self) -> None:
        """Let a file be chosen and attach it."""
        if self._subject is not None:
            self._desk.ask.choose_file(_("A picture to attach"), file_kinds(), self.attach)

    def attach(self, file: Path) -> None:
        """Keep the picture in a file."""
        if self._subject is None:
            return
        subject, subject_id = self._subject
        kind, actor, photos = PhotoKind(self.kind.choice()), self._work.actor, self._work.rooms.photos
        note = self.caption.text()
        self.error.hide()

        def work() -> PhotoKept:
            command = AttachPhoto(
                actor=actor,
                subject=subject,
                subject_id=subject_id,
                kind=kind,
                name=file.name,
                content=read_file(file),
                note=note,
            )
            return photos.attach(command)

        self._sending.send(work, lambda _kept: self._attached(kind), self._refused)

    def _attached(self, kind: PhotoKind) -> None:
        self._desk.notices.tell(_("The picture is attached."))
        self.caption.set_text("")
        self.attached.emit(kind.value)
        self.refresh()

    def _refused(self, refusal: RuleBroken) -> None:
        if refusal.field == "note":
            self.caption.set_error(refusal.sentence)
            return
        self.error.setText(refusal.sentence)
        self.error.show()

    def _show(self, read: _Read) -> None:
        self._small |= read.small
        wanted = [row.photo_id for row in read.rows]
        if wanted == [thumb.row.photo_id for thumb in self.thumbs]:
            return
        had = any(thumb.hasFocus() for thumb in self.thumbs)
        for thumb in self.thumbs:
            self._flow.removeWidget(thumb)
            thumb.hide()
            thumb.deleteLater()
        self.thumbs = [self._thumb(row) for row in read.rows]
        for thumb in self.thumbs:
            self._flow.addWidget(thumb)
            thumb.show()
        self.empty.setVisible(not read.rows)
        if self._chosen is not None and self._chosen.photo_id not in wanted:
            self._put_away()
        if had and self.thumbs:
            self.thumbs[0].setFocus()
        self.rebuilt.emit()

    def _thumb(self, row: PhotoRow) -> "Thumb":
        figures = self._work.figures
        thumb = Thumb(
            self._desk.look, row, self._small.get(row.photo_id, b""), photo_short(row, figures), self
        )
        thumb.setAccessibleName(_("Picture: {words}").format(words=photo_words(row, figures)))
        thumb.clicked.connect(lambda _on=False, row=row: self.enlarge(row))
        return thumb

    def enlarge(self, row: PhotoRow) -> None:
        """Show one picture large beneath the row; again to put it away."""
        if self._chosen is not None and self._chosen.photo_id == row.photo_id:
            self._put_away()
            return
        self._chosen = row
        photos = self._work.rooms.photos
        self._desk.background.read(
            self, "large", lambda: photos.picture(row.photo_id), lambda content: self._enlarged(row, content)
        )

    def _enlarged(self, row: PhotoRow, content: bytes) -> None:
        words = photo_words(row, self._work.figures)
        self.large.show_picture(content, words)
        self._words.setText(words)
        self._beneath.show()
        self.away.setVisible(self._editable)
        self.rebuilt.emit()

    def _put_away(self) -> None:
        if self.away.hasFocus():
            self.add.setFocus()
        self._chosen = None
        self._beneath.hide()
        self.rebuilt.emit()

    def _ask_away(self) -> None:
        row = self._chosen
        if row is not None:
            self._desk.ask.confirm(
                _("Take this picture back?"),
                _("Take it back"),
                lambda: self._take_away(row),
                _("It stays in the books with your name, but is shown nowhere any more."),
            )

    def _take_away(self, row: PhotoRow) -> None:
        command = WithdrawPhoto(actor=self._work.actor, photo_id=row.photo_id)
        photos = self._work.rooms.photos
        self._sending.send(lambda: photos.withdraw(command), lambda _kept: self.refresh(), self._refused)

    def _lay_out(self, look: Look) -> None:
        adding = QHBoxLayout()
        adding.setSpacing(look.px(GAP))
        adding.addWidget(self.kind, 1)
        adding.addWidget(self.add, 0, Qt.AlignmentFlag.AlignTop)
        row = QWidget(self)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        row.setSizePolicy(policy)
        self._flow = Flow(look.px(GAP), row)
        self._words = PlainLabel("", TextRole.HELP, tone="ink2", wrap=True)
        self._beneath = QWidget(self)
        large = QVBoxLayout(self._beneath)
        large.setContentsMargins(0, 0, 0, 0)
        large.addWidget(self.large)
        foot = QHBoxLayout()
        foot.addWidget(self._words, 1)
        foot.addWidget(self.away)
        large.addLayout(foot)
        self._beneath.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        column.addWidget(PlainLabel(_("Pictures"), strong=True))
        for part in (self.empty, row, self._beneath):
            column.addWidget(part)
        column.addLayout(adding)
        column.addWidget(self.caption)
        column.addWidget(self.error)
        self.error.hide()


class Thumb(QAbstractButton):
    """One small picture; Enter or a click shows it large."""

    def __init__(self, look: Look, row: PhotoRow, content: bytes, words: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.row = row
        self._words = words
        self._picture = _picture(content)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:
        """The picture with its words beneath."""
        px = self._look.px
        return QSize(px(_WIDE), px(_HIGH) + self._look.font_metrics(TextRole.NOTE).height() + px(4))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw picture and words."""
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        box = QRectF(2, 2, self.width() - 4, look.px(_HIGH) - 4)
        painter.fillRect(box, look.colour("sunken"))
        _draw_whole(painter, box, self._picture)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        focused = self.hasFocus()
        painter.setPen(QPen(look.colour("accent" if focused else "edge"), FOCUS_RING if focused else 1))
        painter.drawRoundedRect(box, RADIUS_SMALL, RADIUS_SMALL)
        painter.setFont(look.font(TextRole.NOTE))
        painter.setPen(look.colour("ink2"))
        room = QRectF(0, look.px(_HIGH), self.width(), self.height() - look.px(_HIGH))
        shown = painter.fontMetrics().elidedText(self._words, Qt.TextElideMode.ElideRight, int(room.width()))
        painter.drawText(room, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, shown)
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens as Space does."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            return
        super().keyPressEvent(event)


class LargePicture(QWidget):
    """One picture as large as there is room."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._picture = QPixmap()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def show_picture(self, content: bytes, words: str) -> None:
        """Show a JPEG; ``words`` tell a screen reader what it is."""
        self._picture = _picture(content)
        self.setAccessibleName(words)
        self.update()

    def sizeHint(self) -> QSize:
        """As high as is usual, as wide as there is room."""
        return QSize(self._look.px(_LARGE), self._look.px(_LARGE * 3 // 4))

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw the picture whole."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.fillRect(self.rect(), self._look.colour("sunken"))
        _draw_whole(painter, QRectF(self.rect()), self._picture)
        painter.end()


def _picture(content: bytes) -> QPixmap:
    picture = QPixmap()
    picture.loadFromData(content)
    return picture


def _draw_whole(painter: QPainter, box: QRectF, picture: QPixmap) -> None:
    if picture.isNull():
        return
    scale = min(box.width() / picture.width(), box.height() / picture.height())
    wide, high = picture.width() * scale, picture.height() * scale
    place = QRectF(box.center().x() - wide / 2, box.center().y() - high / 2, wide, high)
    painter.drawPixmap(place, picture, QRectF(picture.rect()))
